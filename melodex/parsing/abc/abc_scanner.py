"""Split a line of ABC music code into tokens."""

import re
from collections.abc import Callable, Iterator
from functools import lru_cache

from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_tokens import (
    AbcChord,
    Bar,
    Broken,
    Field,
    Grace,
    LateTie,
    MeasureRest,
    Note,
    Overlay,
    Quoted,
    Rest,
    Token,
    Tuplet,
)

_PITCH = r"[_^=]*[A-Ga-g][,']*"
_LENGTH = r"\d*(?:/+\d*)?"  # matches a text in only one way, to prevent backtracking
_TIE = r"(?:\.?-)?"

# Source: ABC 2.1, sections 4.1 to 4.19, 7.4 and 8.1. Letters H-W, h-w and ~ are decorations
# (4.14, 4.16), y is space (6.1.2), ` joins beams (4.7), $ breaks the score's line (6.1.1).
_TOKEN = re.compile(
    rf"{_PITCH}{_LENGTH}{_TIE}"  # a note
    r"|[\s)~.`$\\}H-WYh-wy\d@,'/]+"  # nothing that sounds; the most frequent first
    r"|-+"  # a tie separated from its first note
    rf"|[zx]{_LENGTH}|[ZX]\d*"  # rests
    r'|"[^"]*"'  # chord symbols and annotations
    r"|\[[A-Za-z]:[^\][]*\]"  # inline fields
    r"|(?:[|:\]]|\[(?=[|\]]))(?:[|:\]]|\[(?=[|\]:\s]|$))*(?:\d[\d,.-]*)?"  # bar lines
    r"|\[\d[\d,.-]*"  # endings
    rf"|\[[^\][|]*\]{_LENGTH}{_TIE}"  # chords
    rf"|\+(?!f+\+)(?:{_PITCH}{_LENGTH})+\+"  # chords of ABC 1.5 (section 10.2.3)
    r"|\{[^{}]*\}"  # grace notes
    r"|\(\d+(?::\d*){0,2}"  # tuplets
    r"|>+|<+"  # broken rhythm
    # Decorations. Unlike section 12.2, a colon between letters is not read as a bar line.
    r"|!(?:[^\s|:\[\]!]|(?<=\w):(?=\w))+!|\+[^\s|:\[\]+]+\+"
    r'|&+|\[(?=[^\s"])[^\s\[\]|]*|.',  # last: an overlay, an unclosed bracket
    re.DOTALL,
)
_RESERVED = re.compile(r'("[^"]*"|\[[A-Za-z]:[^\][]*\])|[#*;?@]')  # section 8.1

_RESERVED_HERE = frozenset("#*;?@")

_NOTE_PARTS = re.compile(rf"([_^=]*)([A-Ga-g])([,']*)({_LENGTH})({_TIE})")
_LENGTH_PARTS = re.compile(r"(\d*)(/*)(\d*)")
_AFTER_CHORD = re.compile(rf"({_LENGTH})({_TIE})")
_QUOTED_OR_DECORATION = re.compile(r'"[^"]*"|![^!]*!')
_OLD_CHORD = re.compile(rf"\+(?!f+\+)(?:{_PITCH}{_LENGTH})+\+")

_NATURAL = {  # MIDI numbers; C is middle C (section 4.1)
    **dict(zip("CDEFGAB", (60, 62, 64, 65, 67, 69, 71), strict=True)),
    **dict(zip("cdefgab", (72, 74, 76, 77, 79, 81, 83), strict=True)),
}
_ALTERATION = {"": None, "^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
_OCTAVE = 12

_MOST_DIGITS = 9
_MOST_BROKEN = 3  # section 4.4 allows up to >>>
_HIGHEST_PASS = 99
_LONGEST_KEPT = 40  # characters; longer tokens are not cached
_FIELDS_WITHOUT_SPACES = frozenset("LM")


def tokens_of(line: str) -> Iterator[Token]:
    """Yield the tokens of one line of music code without comment, except what does not sound.

    Raises
    ------
    AbcError
        While iterating: at an unclosed chord, grace note or text, or an impossible length.
    """
    line = line.replace("=3D", "=")  # an equals sign in MIME quoted-printable
    if not _RESERVED_HERE.isdisjoint(line):
        line = _RESERVED.sub(lambda kept: kept[1] or "", line)
    texts = _TOKEN.findall(line)
    parse = _remembered if max(map(len, texts), default=0) <= _LONGEST_KEPT else _token
    return filter(None, map(parse, texts))


def _token(text: str) -> Token | None:
    parse = _PARSER_OF_FIRST.get(text[0])
    return parse(text) if parse else None


# Most tokens recur many times.
_remembered = lru_cache(maxsize=2**14)(_token)


def _length(text: str) -> tuple[int, int]:
    """Parse a length such as 3/2, /, // or /4; return numerator and denominator."""
    if not text:
        return 1, 1
    match = _LENGTH_PARTS.fullmatch(text)
    above, slashes, below = match.groups() if match else ("", "", "")
    if len(above) > _MOST_DIGITS or len(slashes) > _MOST_DIGITS or len(below) > _MOST_DIGITS:
        raise AbcError(f"a length of {text[:20]}… unit notes")
    numerator = int(above or 1)
    denominator = int(below) if below else 2 ** len(slashes)
    if not numerator or not denominator:
        raise AbcError(f"a note or rest with the length {text}")
    return numerator, denominator


def _note(text: str) -> Note | None:
    match = _NOTE_PARTS.fullmatch(text)
    if match is None:
        return None  # an accidental without a note
    accidental, letter, octave, length, tie = match.groups()
    shift = octave.count("'") - octave.count(",")
    alteration = _ALTERATION.get(accidental, _ALTERATION[accidental[-1:]])
    return Note(alteration, _NATURAL[letter] + _OCTAVE * shift, *_length(length), bool(tie))


def _notes_in(text: str) -> tuple[Note, ...]:
    found = (_note(match[0]) for match in _NOTE_PARTS.finditer(_QUOTED_OR_DECORATION.sub("", text)))
    return tuple(note for note in found if note)


def _rest(text: str) -> Rest:
    return Rest(*_length(text[1:]))


def _measure_rest(text: str) -> MeasureRest:
    return MeasureRest(_length(text[1:])[0])


def _bracket(text: str) -> Token | None:
    """Distinguish what can begin with a bracket: inline field, ending, chord, bar line."""
    if len(text) == 1:
        return None
    if text[1] in "|]":
        return _bar(text)
    if text[1].isdecimal():
        return Bar(ending=text[1:], passes=_passes(text[1:]), is_line=False)
    if "]" not in text:
        return _open_bracket(text)
    return Field(text[1], text[3:-1]) if text[2:3] == ":" else _closed_chord(text)


def _closed_chord(text: str) -> AbcChord | None:
    inside, _, behind = text[1:].partition("]")
    after = _AFTER_CHORD.fullmatch(behind)
    return _chord(inside, after[1], after[2]) if after else None


def _open_bracket(text: str) -> Token | None:
    """Parse an unclosed chord or field, which ends at a space or bar line.

    Only fields whose text has no spaces are certain to end there.
    """
    if text[2:3] != ":":
        chord = _chord(text[1:], "", "")
        return chord._replace(is_closed=False) if chord else None
    if text[1] not in _FIELDS_WITHOUT_SPACES:
        raise AbcError(f"the field {text[:_LONGEST_KEPT]} is not closed with ]")
    return Field(text[1], text[3:], is_closed=False)


def _chord(inside: str, length: str, tie: str) -> AbcChord | None:
    notes = _notes_in(inside)
    if not notes:
        return None
    numerator, denominator = _length(length)
    first = notes[0]
    return AbcChord(notes, numerator * first.numerator, denominator * first.denominator, bool(tie))


def _plus(text: str) -> Token | None:
    """Parse a chord of ABC 1.5, or ignore +...+ as a decoration."""
    return _chord(text, "", "") if _OLD_CHORD.fullmatch(text) else None


def _grace(text: str) -> Grace:
    if text[-1] != "}":
        raise AbcError("grace notes are not closed with }")
    return Grace(_notes_in(text))


def _quoted(text: str) -> Quoted:
    if len(text) == 1:
        raise AbcError('a chord symbol or annotation is not closed with "')
    return Quoted(text[1:-1])


def _tuplet(text: str) -> Tuplet | None:
    numbers = (
        [int(number[:_MOST_DIGITS] or 0) for number in text[1:].split(":")] if text[1:] else []
    )
    notes, time, span = (*numbers, 0, 0, 0)[:3]
    return Tuplet(notes, time, span) if notes > 1 else None


def _broken(text: str) -> Broken:
    denominator = 2 ** min(len(text), _MOST_BROKEN)
    longer = 2 * denominator - 1
    return Broken(longer, 1, denominator) if text[0] == ">" else Broken(1, longer, denominator)


def _late_tie(text: str) -> LateTie:
    return LateTie(text)


def _overlay(text: str) -> Overlay:
    return Overlay(len(text))


def _bar(text: str) -> Bar | None:
    """Parse a bar line of any shape, with the number of an ending if it has one.

    Source
    ------
    ABC 2.1, section 4.8: parsers should be quite liberal in recognizing bar lines.
    """
    shape = text.rstrip("0123456789,.-")
    ending = text[len(shape) :]
    passes = _passes(ending)
    shape = shape.replace("[|]", "")  # invisible; written before another to carry a decoration
    if not shape:
        return Bar(ending=ending, passes=passes)
    line = shape.strip(":")
    if not line:
        times = len(shape) // 2 + 1
        return Bar(times, times, ending=ending, passes=passes) if len(shape) > 1 else None
    if shape == "]":
        return None
    before, after = len(shape) - len(shape.lstrip(":")), len(shape) - len(shape.rstrip(":"))
    if ":" in line and not before and not after:
        before = 1  # |:| at the end of a tune: a bar line, then a repeat end
    return Bar(
        ends=before + 1 if before else 0,
        starts=after + 1 if after else 0,
        divides=len(line.replace(":", "")) > 1 or line in "[]",
        final="]" in line,
        ending=ending,
        passes=passes,
    )


def _passes(ending: str) -> tuple[int, ...]:
    """List the passes of an ending such as 1,3,5-7."""
    passes: dict[int, None] = {}  # each once: a line may contain thousands of 1-99
    for part in ending.replace(".", ",").split(","):
        first, _, last = part.partition("-")
        if first.isdecimal():
            low = int(first[:_MOST_DIGITS])
            high = int(last[:_MOST_DIGITS]) if last.isdecimal() else low
            passes |= dict.fromkeys(range(low, min(high, _HIGHEST_PASS) + 1))
    return tuple(number for number in passes if 0 < number <= _HIGHEST_PASS)


_PARSER_OF_FIRST: dict[str, Callable[[str], Token | None]] = {
    **dict.fromkeys("_^=ABCDEFGabcdefg", _note),
    **dict.fromkeys("xz", _rest),
    **dict.fromkeys("XZ", _measure_rest),
    **dict.fromkeys("|:]", _bar),
    **dict.fromkeys("<>", _broken),
    '"': _quoted,
    "[": _bracket,
    "{": _grace,
    "(": _tuplet,
    "&": _overlay,
    "-": _late_tie,
    "+": _plus,
}
