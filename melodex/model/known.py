"""What students can play: of one song, and which song comes nearest."""

from dataclasses import dataclass

from melodex.model.lesson import Span


@dataclass(frozen=True, slots=True)
class Skill:
    """What one student can play: ids of songs and names of licks."""

    student: str  # "" where the file names nobody
    songs: frozenset[str]
    licks: frozenset[str]


@dataclass(frozen=True, slots=True)
class KnownFrom:
    """A reason why a measure is known."""

    song: str | None  # None: the lick is known by name
    lick: str | None  # None: the song itself is known
    measures: tuple[Span, ...]  # of the lick in that song


@dataclass(frozen=True, slots=True)
class KnownMeasure:
    """A measure of a song, as written; without reasons it is new."""

    measure: int
    known_from: tuple[KnownFrom, ...]


@dataclass(frozen=True, slots=True)
class StudentShare:
    """How much of a song one student can play."""

    student: str
    share: float | None
    new: tuple[Span, ...]  # the measures still to learn


@dataclass(frozen=True, slots=True)
class KnownMaterial:
    """How much of a song a student, or every student of a class, can already play."""

    song: str
    title: str
    share: float | None  # of its measures, 0 to 1; None where it has none
    measures: tuple[KnownMeasure, ...]
    students: tuple[StudentShare, ...]


@dataclass(frozen=True, slots=True)
class NextSong:
    """A song not yet known, and what learning it would bring."""

    song: str
    title: str
    share: float | None
    new: int  # measures of new material
    new_licks: tuple[str, ...]
    opens_the_way_to: tuple[str, ...]  # songs of whose measures it makes more known, most first
