"""Make text from strangers harmless: to a terminal, in JSON, and in the cells of a spreadsheet."""

import re

# Titles, tags and file names come from anywhere. A terminal obeys the C0 and C1 controls of
# ECMA-48 (1991), sections 5.2 and 5.3, among them ESC and CSI; the bidirectional controls of
# Unicode Standard Annex 9, table 4, make text look like other text.
_BIDIRECTIONAL = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_LINE_BREAKS = re.compile("[\t-\r\x85\u2028\u2029]+")
_CONTROLS = re.compile(f"[\x00-\x1f\x7f-\x9f{_BIDIRECTIONAL}]")
_CONTROLS_THAT_JSON_LEAVES = re.compile(f"[\x7f-\x9f\u2028\u2029{_BIDIRECTIONAL}]")
# Source: OWASP, "CSV Injection" (also CWE-1236): a spreadsheet runs a cell that begins with one of
# these or their full-width forms; an apostrophe in front makes it text.
_FORMULA = re.compile(r"\s*[=+\-@＝＋－＠]")  # noqa: RUF001 - the full-width forms


def printable(text: str) -> str:
    r"""Return a text as one line without control characters.

    Tabs and line breaks become a space, every other control character its escape.

    Examples
    --------
    >>> printable("The \x1b[31mRed\nMill")
    'The \\x1b[31mRed Mill'
    """
    return _CONTROLS.sub(_escaped, _LINE_BREAKS.sub(" ", text))


def printable_json(document: str) -> str:
    r"""Escape the control characters that a JSON document may hold raw; it means the same.

    Examples
    --------
    >>> printable_json('{"title": "Mill\x9b31m"}')
    '{"title": "Mill\\u009b31m"}'
    """
    return _CONTROLS_THAT_JSON_LEAVES.sub(lambda found: f"\\u{ord(found[0]):04x}", document)


def spreadsheet_text(text: str) -> str:
    """Return a text as a cell that no spreadsheet runs as a formula: an apostrophe before it.

    Examples
    --------
    >>> spreadsheet_text("=1+1"), spreadsheet_text("5-6")
    ("'=1+1", '5-6')
    """
    line = printable(text)
    return f"'{line}" if _FORMULA.match(line) else line


def _escaped(found: re.Match[str]) -> str:
    code = ord(found[0])
    return f"\\x{code:02x}" if code <= 0xFF else f"\\u{code:04x}"  # noqa: PLR2004 - one byte
