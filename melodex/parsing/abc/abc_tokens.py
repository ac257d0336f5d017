"""The tokens of ABC music code: notes, rests, chords, bar lines and so on."""

from typing import NamedTuple, TypeAlias


class Note(NamedTuple):
    """A note as written; lengths are in unit note lengths."""

    accidental: int | None  # half-steps; None if none is written
    natural: int  # MIDI number without accidental or key
    numerator: int = 1
    denominator: int = 1
    tied: bool = False


class AbcChord(NamedTuple):
    """Notes that sound together; each has its own length and tie, and the chord has one too."""

    notes: tuple[Note, ...]
    numerator: int
    denominator: int
    tied: bool
    is_closed: bool = True  # False if its closing bracket is missing


class Rest(NamedTuple):
    """A rest; its length is in unit note lengths."""

    numerator: int
    denominator: int


class MeasureRest(NamedTuple):
    """A rest of whole measures."""

    measures: int


class Grace(NamedTuple):
    """Grace notes before the next note."""

    notes: tuple[Note, ...]


class Tuplet(NamedTuple):
    """A tuplet: the next ``span`` notes, ``notes`` in the time of ``time``; 0 is the default."""

    notes: int
    time: int
    span: int


class Broken(NamedTuple):
    """Broken rhythm between two notes: factors for both, as numerators over ``denominator``."""

    before: int
    after: int
    denominator: int


class Bar(NamedTuple):
    """A bar line, or the bracket of an ending."""

    ends: int = 0  # how often the section ending here is played; 0: none ends here
    starts: int = 0  # how often the section starting here is played; 0: none starts here
    divides: bool = False  # drawn as more than one thin line
    final: bool = False
    ending: str = ""  # the number or list of numbers of an ending that begins here
    passes: tuple[int, ...] = ()
    is_line: bool = True  # False: only the bracket of an ending


class Quoted(NamedTuple):
    """A chord symbol or an annotation."""

    text: str


class Field(NamedTuple):
    """An inline field in brackets."""

    letter: str
    text: str
    is_closed: bool = True


class LateTie(NamedTuple):
    """A tie written directly before its second note instead of after its first."""

    text: str


class Overlay(NamedTuple):
    """A second voice over the last ``measures`` bars; it lasts for as many bar lines."""

    measures: int


Token: TypeAlias = (
    Note
    | AbcChord
    | Rest
    | MeasureRest
    | Grace
    | Tuplet
    | Broken
    | Bar
    | Quoted
    | Field
    | LateTie
    | Overlay
)
