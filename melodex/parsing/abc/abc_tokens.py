"""The pieces of ABC music code: notes, rests, chords, bar lines and what goes between them."""

from typing import NamedTuple, TypeAlias


class Note(NamedTuple):
    """A note as written; its length counts in unit note lengths."""

    accidental: int | None  # half-steps; None: none written
    natural: int  # MIDI number without accidental or key
    numerator: int = 1
    denominator: int = 1
    tied: bool = False


class Chord(NamedTuple):
    """Notes that sound together; each keeps its own length and tie, the chord has one too."""

    notes: tuple[Note, ...]
    numerator: int
    denominator: int
    tied: bool
    is_closed: bool = True  # with a bracket


class Rest(NamedTuple):
    """A rest; its length counts in unit note lengths."""

    numerator: int
    denominator: int


class MeasureRest(NamedTuple):
    """A rest of whole measures."""

    measures: int


class Grace(NamedTuple):
    """Grace notes before the next note."""

    notes: tuple[Note, ...]


class Tuplet(NamedTuple):
    """The next ``span`` notes fit ``notes`` into the time of ``time``; 0 stands for the default."""

    notes: int
    time: int
    span: int


class Broken(NamedTuple):
    """Broken rhythm between two notes: each length times its numerator / ``denominator``."""

    before: int
    after: int
    denominator: int


class Bar(NamedTuple):
    """A bar line, or the bracket of an ending."""

    ends: int = 0  # how often the section that ends here is played; 0: none ends here
    starts: int = 0  # how often the section that starts here is played; 0: none starts here
    divides: bool = False  # drawn as more than one thin line
    final: bool = False
    ending: str = ""  # the number or list of an ending that begins here
    passes: tuple[int, ...] = ()
    is_line: bool = True  # False: only the bracket of an ending


class Quoted(NamedTuple):
    """A chord symbol or an annotation."""

    text: str


class Field(NamedTuple):
    """An information field between brackets."""

    letter: str
    text: str
    is_closed: bool = True


class LateTie(NamedTuple):
    """A tie that stands before its second note, apart from its first."""

    text: str


class Overlay(NamedTuple):
    """A second voice over the last measures: what follows, up to as many bar lines."""

    measures: int


Token: TypeAlias = (
    Note
    | Chord
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
