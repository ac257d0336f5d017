"""Audits: where the songs of a repertoire overlap, repeat each other and leave gaps.

Amounts of material are the time that it takes up, in quarter notes as written.
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
    """A song, and how much of it is also in others of the repertoire."""

    song: str
    title: str
    beats: float  # the time of its notes
    shared: float | None  # share of it that other songs teach, 0 to 1; None: it has no notes


@dataclass(frozen=True, slots=True)
class Tune:
    """A tune, and the songs that are versions of it (at least one)."""

    title: str  # of the first version
    songs: tuple[str, ...]  # ids, sorted ascending
    titles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SharedPair:
    """Two songs, and what each teaches of the other."""

    song_a: str
    title_a: str
    song_b: str
    title_b: str
    beats_a: float  # time of the first song that the second teaches
    beats_b: float  # time of the second song that the first teaches
    share_a: float | None  # the same as a share of the song, 0 to 1; None: it has no notes
    share_b: float | None
    measures_a: tuple[Span, ...]  # measures of the first song that contain that time
    measures_b: tuple[Span, ...]
    licks: tuple[str, ...]  # licks in both songs
    same_tune: bool  # whether they are versions of one tune


@dataclass(frozen=True, slots=True)
class NearDuplicate:
    """Two songs that are similar as wholes, such as versions of one tune."""

    song_a: str
    title_a: str
    song_b: str
    title_b: str
    score: float  # as in `near`: 1 for the same notes at the same positions in the measure
    expected_by_chance: float | None  # the larger of both songs' numbers; None is unknown
    transposition: int  # half-steps from the first song to the second; up is positive


@dataclass(frozen=True, slots=True)
class LickUse:
    """A lick and the songs that teach it."""

    lick: str
    beats: float  # its length at the first place
    songs: int
    tunes: int  # versions of a tune count once
    places: int  # in all these songs together
    taught_in: tuple[str, ...]  # ids, sorted ascending
    titles: tuple[str, ...]  # of these songs
    first_in: str | None  # title of the song with the lowest level; None: no level is known
    first_level: float | None
    first_estimated: bool = False  # whether that level is suggested


@dataclass(frozen=True, slots=True)
class TaughtTechnique:
    """A technique and the songs that teach it, judged by their tab."""

    technique: str
    songs: int
    tunes: int  # versions of a tune count once
    first_in: str  # title of the song with the lowest level
    first_level: float | None  # None: no level is known
    first_estimated: bool  # whether that level is suggested
    taught_in: tuple[str, ...]  # ids, by level, then by title
    titles: tuple[str, ...]  # of these songs
    measures: tuple[tuple[int, ...], ...]  # in each of them; () for the whole song


@dataclass(frozen=True, slots=True)
class AloneSong:
    """A song that shares nothing with any other."""

    song: str
    title: str
    beats: float


@dataclass(frozen=True, slots=True)
class Overview:
    """What a selection of songs teaches together."""

    songs: tuple[AuditedSong, ...]
    tunes: tuple[Tune, ...]  # in the order of their first songs
    pairs: tuple[SharedPair, ...]  # sorted by shared time, descending
    near_duplicates: tuple[NearDuplicate, ...]  # sorted by similarity, descending
    taught_often: tuple[LickUse, ...]  # by at least two songs, most first
    taught_once: tuple[LickUse, ...]  # by only one of these songs
    alone: tuple[AloneSong, ...]
    techniques: tuple[TaughtTechnique, ...] = ()  # in the order in which they are first taught
    with_tab: int = 0  # songs whose techniques are known

    @property
    def beats(self) -> float:
        """The total time of all songs, in quarter notes."""
        return sum(song.beats for song in self.songs)

    @property
    def shared(self) -> float | None:
        """The share of this time, 0 to 1, that another of the songs also teaches."""
        shared = sum(song.beats * (song.shared or 0) for song in self.songs)
        return shared / self.beats if self.beats else None

    def matrix(self) -> "NDArray[np.float64]":
        """Return the share of each song that every other song teaches, shape (n_songs, n_songs).

        Rows are the songs taught, columns the songs that teach them; values are 0 to 1. The
        diagonal is what all other songs together teach of a song.
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
"""The lists of an overview, and their contents."""


@dataclass(frozen=True, slots=True)
class Group:
    """The songs with the same value in a column."""

    value: str | float | None  # None: the value is unknown
    overview: Overview


@dataclass(frozen=True, slots=True)
class GroupPair:
    """Two groups of songs compared in numbers."""

    group_a: str | float | None
    group_b: str | float | None
    share_a: float | None  # share of the first group's time that the second teaches, 0 to 1
    share_b: float | None
    tunes: int  # in both groups
    licks: int  # in both groups


@dataclass(frozen=True, slots=True)
class CoveredSong:
    """How much of a song other songs teach."""

    song: str
    title: str
    share: float | None  # of its time, 0 to 1; None if it has no notes
    covered: float  # quarter notes
    beats: float


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of one repertoire another one teaches."""

    share: float | None  # of its total time
    covered: float  # quarter notes
    beats: float
    songs: tuple[CoveredSong, ...]  # least covered first
    missing: tuple[LickUse, ...]  # licks of the repertoire that the other one does not teach


NO_COVERAGE = Coverage(None, 0.0, 0.0, (), ())


@dataclass(frozen=True, slots=True)
class CommonTune:
    """A tune with versions in two groups."""

    title: str  # title of the first group's first version
    songs_a: tuple[str, ...]  # ids
    titles_a: tuple[str, ...]
    songs_b: tuple[str, ...]
    titles_b: tuple[str, ...]
    share_a: float | None  # share of the first group's versions that the second's teach, 0 to 1
    share_b: float | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two groups of songs compared: what both have, and what only one has."""

    group_a: str
    group_b: str
    common_tunes: tuple[CommonTune, ...]
    common_licks: tuple[LickUse, ...]  # most first
    common_passages: tuple[SharedPair, ...]  # in different tunes; sorted by shared time, descending
    tunes_only_a: tuple[Tune, ...]
    tunes_only_b: tuple[Tune, ...]
    coverage_a: Coverage  # how much of the first group the second teaches
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
"""The lists of a comparison, and their contents."""


@dataclass(frozen=True, slots=True)
class Audit:
    """All results of an audit."""

    overview: Overview
    comparison: Comparison | None = None  # None: there are no two groups to compare
    groups: tuple[Group, ...] = ()  # by values of a column; empty if no column is given
    group_pairs: tuple[GroupPair, ...] = ()  # all pairs of these groups

    @property
    def coverage(self) -> Coverage | None:
        """How much of the first group the second teaches."""
        return None if self.comparison is None else self.comparison.coverage_a
