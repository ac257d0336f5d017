"""What students can play: of one song, and which song comes nearest."""

from dataclasses import dataclass
from datetime import date

from melodex.model.results.lesson import Span


@dataclass(frozen=True, slots=True)
class Skill:
    """What one student can play: ids of songs, beginnings of songs, names of licks."""

    student: str  # "" where the file names nobody
    songs: frozenset[str] = frozenset()
    licks: frozenset[str] = frozenset()
    beginnings: tuple[tuple[str, int], ...] = ()  # a song's id, and the last measure learned


@dataclass(frozen=True, slots=True)
class DueReview:
    """A song or a lick that a student should go over again."""

    student: str  # "" where the file names nobody
    song: str | None  # its id; None for a lick
    lick: str | None  # its name
    taught: date  # the last time
    times: int  # days on which it was taught
    due: date


@dataclass(frozen=True, slots=True)
class KnownFrom:
    """A reason why a passage is known."""

    song: str | None  # the one that has it too; None: the lick is known by name
    lick: str | None  # None: the passage is no lick that has a name
    measures: tuple[Span, ...]  # of that song; empty where the song itself is known


@dataclass(frozen=True, slots=True)
class KnownMeasure:
    """A measure of a song, as written, and how much of its time is known, in quarter notes."""

    measure: int
    beats: float  # the time that its notes take up
    known_beats: float
    known: tuple[tuple[float, float], ...]  # from, to; from the bar line
    known_from: tuple[KnownFrom, ...]  # empty where nothing is known


@dataclass(frozen=True, slots=True)
class StudentShare:
    """How much of a song one student can play."""

    student: str
    share: float | None
    new: tuple[Span, ...]  # the measures of which something is to learn


@dataclass(frozen=True, slots=True)
class KnownMaterial:
    """How much of a song a student, or every student of a class, can already play."""

    song: str
    title: str
    beat: float  # of its metre, in quarter notes: .5 in 6/8
    share: float | None  # of its time, 0 to 1; None where it has no notes
    measures: tuple[KnownMeasure, ...]
    students: tuple[StudentShare, ...]


@dataclass(frozen=True, slots=True)
class NextStep:
    """The fewest measures in a row with which a song is half known, or wholly."""

    measures: Span
    share: float  # that is known then


@dataclass(frozen=True, slots=True)
class NextSong:
    """A song not yet known, and what learning it would bring."""

    song: str
    title: str
    share: float | None
    new: float  # quarter notes to learn
    step: NextStep | None  # None where it has no notes
    new_licks: tuple[str, ...]
    opens_the_way_to: tuple[str, ...]  # songs of which it makes most more known, by id
