"""Text of ABC files: decode bytes, and decode ABC's escapes."""

import codecs
import html
import re
import sys
import unicodedata

# Source: ABC 2.1, section 3.1.17, charset field; the standard shows both forms of the value.
_CHARSET = re.compile(
    rb"^(?:I:|%%)[ \t]*abc-charset[ \t]+(iso-8859-\d\d?|windows-125\d|us-ascii|utf-8)",
    re.MULTILINE | re.IGNORECASE,
)
_CHARSET_SEARCHED = 65_536  # bytes; the field should come as early as possible in the file header

# Source: ABC 2.1, section 8.2: mnemonics, each a backslash, a sign and a letter.
_COMBINING = {
    "`": "\N{COMBINING GRAVE ACCENT}",
    "'": "\N{COMBINING ACUTE ACCENT}",
    "^": "\N{COMBINING CIRCUMFLEX ACCENT}",
    "~": "\N{COMBINING TILDE}",
    '"': "\N{COMBINING DIAERESIS}",
    "c": "\N{COMBINING CEDILLA}",
    "o": "\N{COMBINING RING ABOVE}",
    "u": "\N{COMBINING BREVE}",
    "v": "\N{COMBINING CARON}",
    "H": "\N{COMBINING DOUBLE ACUTE ACCENT}",
}
# fmt: off
_LIGATURES = {
    "ss": "ß", "AE": "Æ", "ae": "æ", "OE": "Œ", "oe": "œ", "AA": "Å", "aa": "å",
    "/O": "Ø", "/o": "ø",
}
# fmt: on
_ESCAPE = re.compile(
    r"\\(?:u(?P<short>[0-9A-Fa-f]{4})|U(?P<long>[0-9A-Fa-f]{8})"
    r"|(?P<ligature>ss|AE|ae|OE|oe|AA|aa|/O|/o)"
    r"|(?P<accent>[`'^~\"couvH])(?P<letter>[A-Za-z])"
    r"|(?P<plain>[\\%&]))"
)
_BRACED_ESCAPE = re.compile(r"\{(\\[^{}]{1,3})\}")  # {\"o}, as TeX writes it
# More digits than any code point has; int() also refuses very long numbers.
_NO_CHARACTER = re.compile(r"&#(?:[0-9]{8,}|[xX][0-9A-Fa-f]{7,});?")
_FONT = re.compile(r"\$([0-9$])")  # section 11.4.2: $1 changes the font, $$ is a dollar sign
_SURROGATES = range(0xD800, 0xE000)  # halves of a surrogate pair, not characters
_LONGEST_QUOTED = 40
_ESCAPED_AMPERSAND = "\N{NULL}"  # placeholder for "\&" while HTML entities are decoded


def decode_abc(content: bytes) -> str:
    """Decode the bytes of an ABC file; every line ends with a line feed.

    A byte order mark or the file's charset field determines the encoding; otherwise UTF-8, then
    Latin-1, is tried. A charset field that does not fit the bytes is ignored.

    Source
    ------
    ABC 2.1, sections 2.1 (byte order mark), 3.1.17 (charset) and 8 (line ends).
    """
    text = _decode(content).removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}")
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return text


def _decode(content: bytes) -> str:
    stated = _CHARSET.search(content, 0, _CHARSET_SEARCHED)
    charsets = [stated[1].decode("ascii"), "utf-8"] if stated else ["utf-8"]
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        charsets.insert(0, "utf-16")
    for charset in charsets:
        try:
            return content.decode(charset)
        except (UnicodeDecodeError, LookupError):
            continue
    return content.decode("latin-1")


def clean_text(text: str) -> str:
    r"""Decode the escapes of an ABC text string, and strip spaces from its ends.

    Source
    ------
    ABC 2.1, section 8.2 and its appendix 14.1.

    Examples
    --------
    >>> clean_text(r" Caf\'e M{\"u}ller &amp; S\u00f8n ")
    'Café Müller & Søn'
    """
    if "\\" in text:
        text = _ESCAPE.sub(_write_out, _BRACED_ESCAPE.sub(r"\1", text))
    if "&" in text:
        text = html.unescape(_NO_CHARACTER.sub("\N{REPLACEMENT CHARACTER}", text))
    if "$" in text:
        text = _FONT.sub(lambda font: "$" if font[1] == "$" else "", text)
    return " ".join(text.replace(_ESCAPED_AMPERSAND, "&").split())


def shortened(text: str) -> str:
    """Return a field's text as quoted in remarks and errors: one line of at most 40 characters."""
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST_QUOTED else f"{text[:_LONGEST_QUOTED]}…"


def _write_out(escape: re.Match[str]) -> str:
    code = escape["short"] or escape["long"]
    if code:
        number = int(code, 16)
        return chr(number) if _is_character(number) else ""
    if escape["ligature"]:
        return _LIGATURES[escape["ligature"]]
    if escape["accent"]:
        return unicodedata.normalize("NFC", escape["letter"] + _COMBINING[escape["accent"]])
    return _ESCAPED_AMPERSAND if escape["plain"] == "&" else escape["plain"]


def _is_character(number: int) -> bool:
    is_code = 0 < number <= sys.maxunicode and number not in _SURROGATES
    return is_code and unicodedata.category(chr(number)) != "Cc"
