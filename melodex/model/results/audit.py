"""Audits: where the songs of a repertoire overlap, repeat each other and leave gaps.

Material is counted by the time that it takes up, in quarter notes as written.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from melodex.model.results.lesson import Span

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class AuditedSong:
    """A song, and how much of it others of the repertoire have too."""

    song: str
    title: str
    beats: float  # the time that its notes take up
    shared: float | None  # part of it that the other songs teach, 0 to 1; None: it has no notes


@dataclass(frozen=True, slots=True)
class Tune:
    """A tune, and the songs that are versions of it: one, or more."""

    title: str  # of the first version
    songs: tuple[str, ...]  # ids, in ascending order
    titles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SharedPair:
    """Two songs and what each teaches of the other."""

    song_a: str
    title_a: str
    song_b: str
    title_b: str
    beats_a: float  # of the first song that somebody can play who has learned the second
    beats_b: float  # of the second song that somebody can play who has learned the first
    share_a: float | None  # the same as parts of each song, 0 to 1; None: it has no notes
    share_b: float | None
    measures_a: tuple[Span, ...]  # of the first song, in which those beats are
    measures_b: tuple[Span, ...]
    licks: tuple[str, ...]  # that both songs have
    same_tune: bool  # whether they are versions of one tune


@dataclass(frozen=True, slots=True)
class NearDuplicate:
    """Two songs that are alike as wholes, such as versions of one tune."""

    song_a: str
    title_a: str
    song_b: str
    title_b: str
    score: float  # as of `near`: 1 for the same notes at the same places of the measure
    expected_by_chance: float | None  # the greater of both songs' numbers; None is unknown
    transposition: int  # half-steps from the first song up to the second


@dataclass(frozen=True, slots=True)
class LickUse:
    """A lick and the songs that teach it."""

    lick: str
    beats: float  # its length, at the first of its places
    songs: int
    tunes: int  # versions of one count once
    places: int  # in all these songs
    taught_in: tuple[str, ...]  # ids, in ascending order
    titles: tuple[str, ...]  # of these songs
    first_in: str | None  # the title of the one with the lowest level; None: no level is known
    first_level: float | None
    first_estimated: bool = False  # whether that level is only suggested


@dataclass(frozen=True, slots=True)
class TaughtTechnique:
    """A technique and the songs that teach it, as far as their tab tells."""

    technique: str
    songs: int
    tunes: int  # versions of one count once
    first_in: str  # the title of the song with the lowest level
    first_level: float | None  # None: no level is known
    first_estimated: bool  # whether that level is only suggested
    taught_in: tuple[str, ...]  # ids, by level, then by title
    titles: tuple[str, ...]  # of these songs
    measures: tuple[tuple[int, ...], ...]  # in each of them; () where it is the whole song


@dataclass(frozen=True, slots=True)
class AloneSong:
    """A song that shares nothing with any other."""

    song: str
    title: str
    beats: float


@dataclass(frozen=True, slots=True)
class Overview:
    """What some songs teach together."""

    songs: tuple[AuditedSong, ...]
    tunes: tuple[Tune, ...]  # in the order of their first songs
    pairs: tuple[SharedPair, ...]  # the most shared first
    near_duplicates: tuple[NearDuplicate, ...]  # the most alike first
    taught_often: tuple[LickUse, ...]  # by two songs or more, by most first
    taught_once: tuple[LickUse, ...]  # by one of these songs only
    alone: tuple[AloneSong, ...]
    techniques: tuple[TaughtTechnique, ...] = ()  # in the order in which they are first taught
    with_tab: int = 0  # songs whose techniques are known

    @property
    def beats(self) -> float:
        """The time that all the songs take up, in quarter notes."""
        return sum(song.beats for song in self.songs)

    @property
    def shared(self) -> float | None:
        """The part of all this time, 0 to 1, that another of the songs teaches too."""
        shared = sum(song.beats * (song.shared or 0) for song in self.songs)
        return shared / self.beats if self.beats else None

    def matrix(self) -> "NDArray[np.float64]":
        """Return which part of each song each other one teaches, shape (n_songs, n_songs).

        Rows are the songs that are taught, columns those that teach, 0 to 1. On the diagonal
        stands what all the other songs together teach of a song.
        """
        import numpy as np

        place = {song.song: number for number, song in enumerate(self.songs)}
        shares = np.diag(np.array([song.shared or 0.0 for song in self.songs], np.float64))
        for pair in self.pairs:
            a, b = place[pair.song_a], place[pair.song_b]
            shares[a, b], shares[b, a] = pair.share_a or 0.0, pair.share_b or 0.0
        return shares


PARTS: Mapping[str, type[Any]] = MappingProxyType(
    {
        "songs": AuditedSong,
        "tunes": Tune,
        "pairs": SharedPair,
        "near_duplicates": NearDuplicate,
        "taught_often": LickUse,
        "taught_once": LickUse,
        "alone": AloneSong,
        "techniques": TaughtTechnique,
    }
)
"""The lists of an overview, and what each holds."""


@dataclass(frozen=True, slots=True)
class Group:
    """The songs that a column says the same of."""

    value: str | float | None  # None: of which nothing is known
    overview: Overview


@dataclass(frozen=True, slots=True)
class GroupPair:
    """Two groups of songs in numbers."""

    group_a: str | float | None
    group_b: str | float | None
    share_a: float | None  # part of the first group's time that the second teaches, 0 to 1
    share_b: float | None
    tunes: int  # that both have
    licks: int  # that both have


@dataclass(frozen=True, slots=True)
class CoveredSong:
    """How much of a song other songs teach."""

    song: str
    title: str
    share: float | None  # of its time, 0 to 1; None where it has no notes
    covered: float  # quarter notes
    beats: float


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of a repertoire another one teaches."""

    share: float | None  # of all its time
    covered: float  # quarter notes
    beats: float
    songs: tuple[CoveredSong, ...]  # the least covered first
    missing: tuple[LickUse, ...]  # licks of the repertoire that the other one does not teach


NO_COVERAGE = Coverage(None, 0.0, 0.0, (), ())


@dataclass(frozen=True, slots=True)
class CommonTune:
    """A tune of which two groups have versions."""

    title: str  # of the first group's first version
    songs_a: tuple[str, ...]  # ids
    titles_a: tuple[str, ...]
    songs_b: tuple[str, ...]
    titles_b: tuple[str, ...]
    share_a: float | None  # part of the first group's versions that the second's teach, 0 to 1
    share_b: float | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two groups of songs side by side: what both have, and what only each has."""

    group_a: str
    group_b: str
    common_tunes: tuple[CommonTune, ...]
    common_licks: tuple[LickUse, ...]  # by most first
    common_passages: tuple[SharedPair, ...]  # of different tunes; the most shared first
    tunes_only_a: tuple[Tune, ...]
    tunes_only_b: tuple[Tune, ...]
    coverage_a: Coverage  # what the second group teaches of the first
    coverage_b: Coverage


COMPARED: Mapping[str, type[Any]] = MappingProxyType(
    {
        "common_tunes": CommonTune,
        "common_licks": LickUse,
        "common_passages": SharedPair,
        "tunes_only_a": Tune,
        "tunes_only_b": Tune,
    }
)
"""The lists of a comparison, and what each holds."""


@dataclass(frozen=True, slots=True)
class Audit:
    """All that an audit finds."""

    overview: Overview
    comparison: Comparison | None = None  # None: there are not two groups to compare
    groups: tuple[Group, ...] = ()  # by a column; empty where none is given
    group_pairs: tuple[GroupPair, ...] = ()  # each two of these groups

    @property
    def coverage(self) -> Coverage | None:
        """What the second of two groups teaches of the first."""
        return None if self.comparison is None else self.comparison.coverage_a
