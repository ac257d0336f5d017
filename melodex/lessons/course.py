"""Songs and limits as the arrays that the search for an order reads."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from melodex.errors import PlanError
from melodex.kernels.lesson_order import Course
from melodex.lessons.taught import Knowledge, Repertoire
from melodex.model.lesson import Limits
from melodex.model.material import Material

NO_LIMIT = 2**31 - 1


def course_of(
    repertoire: Repertoire, pool: Sequence[int], limits: Limits, known: Knowledge
) -> Course:
    """Put the songs of a pool and the limits on their order into arrays, in the pool's order.

    Raises
    ------
    PlanError
        If a limit names a song that is not in the pool, or needs a level that is unknown.
    """
    material, taught = repertoire.material, repertoire.taught
    place = {material.songs[song]: i for i, song in enumerate(pool)}
    licks = [np.fromiter(taught[song].places, np.int32) for song in pool]
    teaches = np.zeros((len(pool), len(material.licks)), np.int32)
    for i, numbers in enumerate(licks):
        teaches[i, numbers] = 1
    lick_sizes = material.lick_measures.copy()
    lick_sizes[list(known.licks)] = 0
    singles = np.array(
        [0 if song in known.songs else len(taught[song].singles) for song in pool], np.int32
    )
    fixed = [(_place_of(song, place), lesson) for song, lesson in _fixed_lessons(limits, len(pool))]
    must_come = np.zeros(len(pool), np.bool_)
    must_come[[_place_of(song, place) for song in limits.must_come]] = True
    pairs = [
        (place[one], place[other])
        for one, other in limits.before
        if one in place and other in place
    ]
    return Course(
        lick_starts=np.cumsum([0, *map(len, licks)], dtype=np.int32),
        licks=np.concatenate([np.empty(0, np.int32), *licks]),
        lick_measures=material.lick_measures,
        lick_sizes=lick_sizes,
        singles=singles,
        sizes=(singles + teaches @ material.lick_measures).astype(np.int32),
        shared=((teaches * material.lick_measures) @ teaches.T).astype(np.int32),
        may_follow=_may_follow([material.levels[song] for song in pool], limits, material, pool),
        before=np.array(pairs, np.int32).reshape(-1, 2),
        fixed=np.array(fixed, np.int32).reshape(-1, 2),
        must_come=must_come,
        most_new=NO_LIMIT if limits.most_new is None else limits.most_new,
    )


def lessons_of(limits: Limits, songs: int) -> int:
    """Say how many lessons a plan has: as many as asked for, else one a song."""
    return songs if limits.lessons is None else limits.lessons


def _fixed_lessons(limits: Limits, songs: int) -> list[tuple[str, int]]:
    fixed = [(song, lesson - 1) for lesson, song in limits.kept]
    if limits.first is not None:
        fixed.append((limits.first, 0))
    if limits.last is not None:
        fixed.append((limits.last, lessons_of(limits, songs) - 1))
    return fixed


def _place_of(song: str, place: dict[str, int]) -> int:
    if song not in place:
        raise PlanError(
            f"{song!r} is named in a limit but is not among the songs to plan.",
            "choose the songs so that it is one of them, or leave that limit out.",
        )
    return place[song]


def _may_follow(
    levels: Sequence[float | None], limits: Limits, material: Material, pool: Sequence[int]
) -> NDArray[np.bool_]:
    if limits.level_step is None:
        return np.ones((len(levels), len(levels)), np.bool_)
    unknown = [
        material.songs[song] for song, level in zip(pool, levels, strict=True) if level is None
    ]
    if unknown:
        raise PlanError(
            f"The step from level to level cannot be limited: the level of {len(unknown)} songs is "
            f"unknown, {unknown[0]} the first.",
            "describe their levels (melodex describe), leave them out, or leave the limit out.",
        )
    known = np.array(levels, np.float64)
    return known[None, :] - known[:, None] <= limits.level_step
