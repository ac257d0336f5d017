"""The lines of an ABC tune, and its header: the fields up to K:."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple, TypeVar

from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_fields import (
    MetreField,
    default_unit_length,
    parse_metre,
    parse_tempo,
    parse_unit_length,
)
from melodex.parsing.abc.abc_key import KeyField, parse_key
from melodex.parsing.abc.abc_macros import Macro, parse_macro
from melodex.parsing.abc.abc_pitch import REACH_PITCH, REACHES
from melodex.parsing.abc.abc_text import clean_text

_Value = TypeVar("_Value")

_COMMENT = re.compile(r"(?<!\\)%.*", re.DOTALL)
# A letter that is also a note or a rest does not start a field before a bar line: "A:|", "Z:|".
_FIELD = re.compile(r"([H-Wh-w]|[A-GXYZa-gxyz](?=:(?![|:]))):(.*)", re.DOTALL)
_ACCIDENTALS = re.compile(r"\s*propagate-accidentals\s+(\w+)")
_VERSION = re.compile(r"\s*abc-version\s+(\d{1,3}(?:\.\d{1,3})?)")
_STRICT_FROM = 2.1  # ABC 2.1, section 12.3
_FIELDS_OF_FILE_HEADER = frozenset("ILMm")  # section 3; other fields of a file header are ignored
LONGEST_INSTRUCTION = 500  # characters; longer fields and directives are ignored
_LONGEST_TEXT = 100_000  # characters; a field this long is not continued
_MOST_MACROS = 100
NO_KEY = "The tune has no K: field; it was read without a key signature."


class AbcLine(NamedTuple):
    """A line of a tune with its comment removed; a directive is stored as an I: field."""

    number: int  # in the file, counted from 1
    field: str  # its letter; empty for music code
    text: str


def abc_lines(first_line: int, lines: Iterable[str]) -> list[AbcLine]:
    """Remove comments and empty lines, and join fields that ``+:`` continues.

    Source
    ------
    ABC 2.1, sections 2.2.5, 2.2.6, 3 and 3.3.
    """
    found: list[AbcLine] = []
    last_field = 0  # index of the latest field that is not a directive
    for number, line in enumerate(lines, first_line):
        if line.startswith("%%"):
            found.append(AbcLine(number, "I", line[2:]))
            continue
        text = (_COMMENT.sub("", line) if "%" in line else line).strip()
        if not text:
            continue
        match = _FIELD.match(text)
        if match:
            last_field = len(found)
            found.append(AbcLine(number, match[1], match[2]))
        elif text.startswith("+:"):
            if last_field < len(found) and len(found[last_field].text) < _LONGEST_TEXT:
                begun = found[last_field]
                found[last_field] = begun._replace(text=f"{begun.text} {text[2:]}")
        else:
            found.append(AbcLine(number, "", text))
    return found


@dataclass(frozen=True, slots=True)
class Header:
    """The fields before the music."""

    number: str  # of X:, as written
    titles: tuple[str, ...]
    metre: Metre
    unit: Fraction  # unit note length as a fraction of a whole note
    key: KeyField
    tempo: float | None  # quarter notes a minute
    part_order: str  # of P:
    voices: tuple[str, ...]  # the texts of V: fields
    macros: tuple[Macro, ...]
    reach: str  # how far accidentals reach, see melodex.parsing.abc.abc_pitch
    is_strict: bool | None  # whether it declares ABC 2.1; None if it does not say
    remarks: tuple[str, ...]


def read_header(
    file_header: Sequence[AbcLine], lines: Sequence[AbcLine]
) -> tuple[Header, Sequence[AbcLine]]:
    """Read the fields up to the first K:; return them and the lines after it.

    Raises
    ------
    AbcError
        If the unit note length or the key cannot be understood.
    """
    length = _header_length(lines)
    fields: dict[str, list[AbcLine]] = {}
    for line in file_header:
        if line.field in _FIELDS_OF_FILE_HEADER:
            fields.setdefault(line.field, []).append(line)
    for line in lines[:length]:
        fields.setdefault(line.field, []).append(line)
    return _header_of(fields), lines[length:]


def _header_length(lines: Sequence[AbcLine]) -> int:
    for place, line in enumerate(lines):
        if line.field == "K":
            return place + 1
    return next((place for place, line in enumerate(lines) if not line.field), len(lines))


def _header_of(fields: dict[str, list[AbcLine]]) -> Header:
    metre = _last(fields, "M", parse_metre) or MetreField(FREE_METRE)
    unit = _last(fields, "L", _unit_length) or default_unit_length(metre.metre)
    key = _last(fields, "K", parse_key)
    of_key = key.remarks if key else [NO_KEY]
    macros = [parse_macro(line.text) for line in fields.get("m", ())[:_MOST_MACROS]]
    directives = [line.text for line in fields.get("I", ())]
    return Header(
        number=_last(fields, "X", str.strip) or "",
        titles=tuple(clean_text(line.text) for line in fields.get("T", ())),
        metre=metre.metre,
        unit=unit,
        key=key or KeyField(None, True, None),
        tempo=_last(fields, "Q", lambda text: parse_tempo(text, unit)),
        part_order=_last(fields, "P", str.strip) or "",
        voices=tuple(line.text[:LONGEST_INSTRUCTION] for line in fields.get("V", ())),
        macros=tuple(macro for macro in macros if macro),
        reach=reach_of_accidentals(directives) or REACH_PITCH,
        is_strict=_strictness(directives),
        remarks=(*filter(None, [metre.remark]), *of_key),
    )


def _unit_length(text: str) -> Fraction | None:
    return parse_unit_length(text) if text.strip() else None


def _last(
    fields: dict[str, list[AbcLine]], letter: str, parse: Callable[[str], _Value]
) -> _Value | None:
    """Parse the last field with a letter, which overrides earlier ones."""
    if letter not in fields:
        return None
    line = fields[letter][-1]
    try:
        return parse(line.text[:LONGEST_INSTRUCTION])
    except AbcError as error:
        error.place(line.number)
        raise


def reach_of_accidentals(directives: Iterable[str]) -> str | None:
    """Return how far accidentals reach; None if no directive says so."""
    reach = None
    for directive in directives:
        match = _ACCIDENTALS.match(directive)
        if match and match[1] in REACHES:
            reach = match[1]
    return reach


def _strictness(directives: Iterable[str]) -> bool | None:
    versions = [_VERSION.match(directive) for directive in directives]
    stated = [float(version[1]) for version in versions if version]
    return stated[-1] >= _STRICT_FROM if stated else None
