"""What students can play: of one song, and which songs are closest to it."""

from dataclasses import dataclass
from datetime import date

from melodex.model.results.lesson import Span


@dataclass(frozen=True, slots=True)
class Skill:
    """What one student can play: ids of songs, beginnings of songs, names of licks."""

    student: str  # "" if the file names nobody
    songs: frozenset[str] = frozenset()
    licks: frozenset[str] = frozenset()
    beginnings: tuple[tuple[str, int], ...] = ()  # a song's id, and the last measure learned


@dataclass(frozen=True, slots=True)
class DueReview:
    """A song or a lick that a student should review."""

    student: str  # "" if the file names nobody
    song: str | None  # its id; None for a lick
    lick: str | None  # its name
    taught: date  # most recently
    times: int  # number of days on which it was taught
    due: date


@dataclass(frozen=True, slots=True)
class KnownFrom:
    """A source from which a passage is known."""

    song: str | None  # a song with the same passage; None: the lick is known by name
    lick: str | None  # None: the passage is not a named lick
    measures: tuple[Span, ...]  # in that song; empty if the song itself is known


@dataclass(frozen=True, slots=True)
class KnownMeasure:
    """A measure of a song as written, and its known time, in quarter notes."""

    measure: int
    beats: float  # the time of its notes
    known_beats: float
    known: tuple[tuple[float, float], ...]  # (start, end) from the bar line
    known_from: tuple[KnownFrom, ...]  # empty if nothing is known


@dataclass(frozen=True, slots=True)
class StudentShare:
    """How much of a song one student can play."""

    student: str
    share: float | None
    new: tuple[Span, ...]  # measures with something to learn


@dataclass(frozen=True, slots=True)
class KnownMaterial:
    """How much of a song a student, or every student of a class, can already play."""

    song: str
    title: str
    beat: float  # length of a beat of its metre, in quarter notes: .5 in 6/8
    share: float | None  # of its time, 0 to 1; None if it has no notes
    measures: tuple[KnownMeasure, ...]
    students: tuple[StudentShare, ...]


@dataclass(frozen=True, slots=True)
class NextStep:
    """The fewest consecutive measures after which half of a song, or all of it, is known."""

    measures: Span
    share: float  # share known afterwards


@dataclass(frozen=True, slots=True)
class NextSong:
    """A song not yet known, and what learning it contributes."""

    song: str
    title: str
    share: float | None
    new: float  # quarter notes to learn
    step: NextStep | None  # None if it has no notes
    new_licks: tuple[str, ...]
    opens_the_way_to: tuple[str, ...]  # ids of the songs whose known share grows most
    version_of: tuple[str, ...] = ()  # ids of known songs that are versions of the same tune
