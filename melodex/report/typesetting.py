"""Typeset what pages and reports show as prose, once the whole page is written.

Commands write ranges with a hyphen, as `--measures 5-8` takes them; print has an en dash.
"""

import re

# Tags; elements whose text is not prose, or is sent as it stands; and text.
_PARTS = re.compile(
    r"<(?P<as_is>script|style|textarea|pre|option)\b.*?</(?P=as_is)>|<[^>]*>|(?P<text>[^<]+)",
    re.DOTALL,
)
_RANGE = r"\d+(?:-\d+)?"
_RANGES = re.compile(rf"\b(?:[Mm]easures|[Bb]eats|[Ll]essons) {_RANGE}(?:, (?:then )?{_RANGE})*")
_PERCENT = re.compile(r"(?<=\d) %")
_DASH = "–\N{WORD JOINER}"  # no line ends within a range
_PERCENT_SIGN = "\N{NO-BREAK SPACE}%"


def typeset(html: str) -> str:
    """Return a page with en dashes in its ranges of measures, beats and lessons.

    Neither a range nor a percentage is broken between lines. Attributes, fields of forms, scripts
    and tab in plain characters stay as they are.

    Examples
    --------
    >>> typeset('<p title="measures 1-2">measures 1-4, 9; 2027-01-11').replace("\u2060", "")
    '<p title="measures 1-2">measures 1–4, 9; 2027-01-11'
    """
    return _PARTS.sub(_part_typeset, html)


def range_in_print(listed: str) -> str:
    """Return a list of measures, such as "7-8, then 1", with en dashes."""
    return listed.replace("-", _DASH)


def _part_typeset(part: re.Match[str]) -> str:
    if part["text"] is None:
        return part[0]
    text = _RANGES.sub(lambda ranges: range_in_print(ranges[0]), part[0])
    return _PERCENT.sub(_PERCENT_SIGN, text)
