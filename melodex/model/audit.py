"""Audits: where the songs of a repertoire overlap, repeat each other and leave gaps."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class AuditedSong:
    """A song and how much of it is licks."""

    song: str
    title: str
    measures: int  # as written, the pickup left out
    lick_measures: int  # of its licks, each lick once, as lesson plans count them


@dataclass(frozen=True, slots=True)
class SharedPair:
    """Two songs and the licks that both have."""

    song_a: str
    title_a: str
    song_b: str
    title_b: str
    measures: int  # of the licks shared, each lick once
    share_a: float | None  # of its written measures, what the shared licks cover; None: it has none
    share_b: float | None
    licks: tuple[str, ...]


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
    measures: int  # its length
    songs: int
    places: int  # in all these songs
    taught_in: tuple[str, ...]  # ids, rising


@dataclass(frozen=True, slots=True)
class AloneSong:
    """A song that shares no lick with any other."""

    song: str
    title: str
    measures: int


@dataclass(frozen=True, slots=True)
class Overview:
    """What some songs teach together."""

    songs: tuple[AuditedSong, ...]
    pairs: tuple[SharedPair, ...]  # the most shared first
    near_duplicates: tuple[NearDuplicate, ...]  # the most alike first
    taught_often: tuple[LickUse, ...]  # by two songs or more, by most first
    taught_once: tuple[LickUse, ...]  # by one of these songs only
    alone: tuple[AloneSong, ...]

    def matrix(self) -> NDArray[np.int64]:
        """Give the measures of licks that each two songs share, shape (n_songs, n_songs).

        On the diagonal stand those of all licks of a song.
        """
        place = {song.song: number for number, song in enumerate(self.songs)}
        shared = np.diag(np.array([song.lick_measures for song in self.songs], np.int64))
        for pair in self.pairs:
            a, b = place[pair.song_a], place[pair.song_b]
            shared[a, b] = shared[b, a] = pair.measures
        return shared


PARTS: Mapping[str, type[Any]] = MappingProxyType(
    {
        "songs": AuditedSong,
        "pairs": SharedPair,
        "near_duplicates": NearDuplicate,
        "taught_often": LickUse,
        "taught_once": LickUse,
        "alone": AloneSong,
    }
)
"""The lists of an overview, and what each holds."""


@dataclass(frozen=True, slots=True)
class Group:
    """The songs that a column says the same of."""

    value: str | float | None  # None: of which nothing is known
    overview: Overview


@dataclass(frozen=True, slots=True)
class CoveredSong:
    """How much of a song other songs teach."""

    song: str
    title: str
    share: float | None  # of its measures, 0 to 1; None where it has none
    covered: int
    measures: int


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of a repertoire another one teaches."""

    share: float | None  # of all measures
    covered: int
    measures: int
    songs: tuple[CoveredSong, ...]  # the least covered first
    missing: tuple[LickUse, ...]  # licks of the repertoire that the other one does not teach


NO_COVERAGE = Coverage(None, 0, 0, (), ())


@dataclass(frozen=True, slots=True)
class Audit:
    """All that an audit tells."""

    overview: Overview
    coverage: Coverage | None  # None: not asked for
    groups: tuple[Group, ...]  # by a column; empty where none is asked for
