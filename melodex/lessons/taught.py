"""What each song teaches: its licks, and the single measures that belong to none."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.model.known import Skill
from melodex.model.lesson import Span
from melodex.model.material import Material

SONG = 0  # the column of a material's places and measures that says which song's they are


@dataclass(frozen=True, slots=True)
class Taught:
    """What one song teaches."""

    places: dict[int, tuple[Span, ...]]  # of each lick, by the lick's number, rising
    measures: dict[int, tuple[int, ...]]  # each measure as written, and the licks that cover it
    singles: dict[int, tuple[int, ...]]  # each single measure, and where it returns note for note


@dataclass(frozen=True, slots=True)
class Knowledge:
    """What can be played before the first lesson: numbers of songs and of licks."""

    songs: frozenset[int] = frozenset()
    licks: frozenset[int] = frozenset()


NOTHING = Knowledge()


@dataclass(frozen=True, slots=True)
class Repertoire:
    """Songs, and what each of them teaches."""

    material: Material
    taught: tuple[Taught, ...]  # in the order of the material's songs


def repertoire_of(material: Material) -> Repertoire:
    """Say song by song which licks stand where and which measures are single ones."""
    count = len(material.songs)
    places = _rows_by_song(material.places, count)
    measures = _rows_by_song(material.measures, count)
    taught = (_taught_by(*rows) for rows in zip(places, measures, strict=True))
    return Repertoire(material, tuple(taught))


def _rows_by_song(rows: NDArray[np.int32], songs: int) -> list[NDArray[np.int32]]:
    """Give the rows of each song, in order, without the song itself."""
    ordered = rows[np.lexsort(rows.T[::-1])]
    starts = np.searchsorted(ordered[:, SONG], np.arange(1, songs))
    return [part[:, SONG + 1 :] for part in np.split(ordered, starts)][:songs]


def _taught_by(lick_rows: NDArray[np.int32], grid: NDArray[np.int32]) -> Taught:
    places: dict[int, list[Span]] = {}
    for lick, first, last in lick_rows.tolist():
        places.setdefault(lick, []).append((first, last))
    # By measure, the first one with the same notes.
    alike: dict[int, int] = dict(zip(grid[:, 0].tolist(), grid[:, 1].tolist(), strict=True))
    licks_of: dict[int, set[int]] = {measure: set() for measure in alike.values()}
    for lick, spans in places.items():
        for measure, first_alike in alike.items():
            if any(first <= measure <= last for first, last in spans):
                licks_of[first_alike].add(lick)
    singles: dict[int, list[int]] = {}
    for measure, first_alike in alike.items():
        if not licks_of[first_alike]:
            singles.setdefault(first_alike, []).append(measure)
    return Taught(
        places={lick: tuple(spans) for lick, spans in places.items()},
        measures={measure: tuple(sorted(licks_of[first])) for measure, first in alike.items()},
        singles={first: tuple(measures) for first, measures in singles.items()},
    )


def knowledge_of(skill: Skill, repertoire: Repertoire) -> Knowledge:
    """Look up what a student can play; a song brings all its licks along."""
    material, taught = repertoire.material, repertoire.taught
    songs = frozenset(i for i, song in enumerate(material.songs) if song in skill.songs)
    named = {i for i, lick in enumerate(material.licks) if lick in skill.licks}
    return Knowledge(songs, frozenset(named.union(*(taught[song].places for song in songs))))


def known_to_all(students: Iterable[Knowledge]) -> Knowledge:
    """Keep what every student of a class knows; a class without students knows nothing."""
    each = list(students)
    shared = each[0] if each else NOTHING
    for student in each[1:]:
        shared = Knowledge(shared.songs & student.songs, shared.licks & student.licks)
    return shared


def spans_of(measures: Iterable[int]) -> tuple[Span, ...]:
    """Join measures that follow each other.

    Examples
    --------
    >>> spans_of([4, 1, 2, 3, 8])
    ((1, 4), (8, 8))
    """
    numbers = np.unique(np.fromiter(measures, np.int64))
    if not len(numbers):
        return ()
    runs = np.split(numbers, np.flatnonzero(np.diff(numbers) > 1) + 1)
    return tuple((int(run[0]), int(run[-1])) for run in runs)
