"""Songs and limits as the arrays that the search for an order reads."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from melodex.errors import PlanError
from melodex.features.skeleton import ONSET_GRID
from melodex.kernels.lesson_order import Course
from melodex.lessons.atoms import Atoms, bit_sets
from melodex.model.results.lesson import Limits
from melodex.model.results.material import Material

NO_LIMIT = 2**31 - 1


def course_of(
    material: Material, pool: Sequence[int], limits: Limits, atoms: Atoms, *, chosen: bool
) -> Course:
    """Put the songs of a pool and the limits on their order into arrays, in the pool's order.

    Parameters
    ----------
    atoms : Atoms
        Of the pool.
    chosen : bool
        Whether songs are chosen, so that a tune comes in one version at most.

    Raises
    ------
    PlanError
        If a limit names a song that is not in the pool, or needs a level that is unknown, or a fact
        that no song has.
    """
    place = {material.songs[song]: i for i, song in enumerate(pool)}
    fixed = [(_place_of(song, place), lesson) for song, lesson in _fixed_places(limits, len(pool))]
    must_come = np.zeros(len(pool), np.bool_)
    must_come[[_place_of(song, place) for song in limits.must_come]] = True
    pairs = [
        (place[one], place[other])
        for one, other in limits.before
        if one in place and other in place
    ]
    tunes = _tunes(material, pool, limits, chosen=chosen)
    return Course(
        starts=atoms.starts,
        teachers=_without_versions(atoms, tunes),
        shares=atoms.shares,
        new=atoms.new,
        known_shares=atoms.known_shares,
        own_new=atoms.own_new,
        from_last=atoms.from_last,
        tunes=tunes,
        may_follow=_may_follow([material.level(song) for song in pool], limits, material, pool),
        before=np.array(pairs, np.int32).reshape(-1, 2),
        fixed=np.array(fixed, np.int32).reshape(-1, 2),
        must_come=must_come,
        turns=_turns(material, pool, limits),
        most_new=NO_LIMIT if limits.most_new is None else int(limits.most_new * ONSET_GRID),
        unit=ONSET_GRID,
    )


def _tunes(
    material: Material, pool: Sequence[int], limits: Limits, *, chosen: bool
) -> NDArray[np.int32]:
    """Return each song's tune, numbered from 0; a song that a limit names is one of its own."""
    alone = limits.asked_for if chosen else frozenset(material.songs)
    tunes = [(material.tunes[song], song if material.songs[song] in alone else -1) for song in pool]
    numbers = {tune: number for number, tune in enumerate(dict.fromkeys(tunes))}
    return np.array([numbers[tune] for tune in tunes], np.int32)


def _without_versions(atoms: Atoms, tunes: NDArray[np.int32]) -> NDArray[np.uint64]:
    """Take from each atom's teachers the versions of its own tune, which do not come beside it."""
    same_tune = bit_sets(tunes[:, None] == tunes)
    return atoms.teachers & ~np.repeat(same_tune, np.diff(atoms.starts), axis=0)


def songs_taken(limits: Limits, songs: int) -> int:
    """Return how many of some songs a plan takes: those that its lessons have, or else all."""
    return songs if limits.lessons is None else limits.songs_in(limits.lessons)


def _fixed_places(limits: Limits, songs: int) -> list[tuple[str, int]]:
    fixed: list[tuple[str, int]] = []
    for lesson, song in limits.kept:
        place = limits.songs_in(lesson) - 1
        if place < 0 or limits.lesson_of(place) != lesson:
            raise PlanError(
                f"{song!r} cannot be kept in lesson {lesson}: that is a review.",
                "keep it in another lesson, or change how often a review comes.",
            )
        fixed.append((song, place))
    if limits.first is not None:
        fixed.append((limits.first, 0))
    if limits.last is not None:
        fixed.append((limits.last, songs_taken(limits, songs) - 1))
    return fixed


def _place_of(song: str, place: dict[str, int]) -> int:
    if song not in place:
        raise PlanError(
            f"{song!r} is named in a limit but is not among the songs to plan.",
            "choose the songs so that it is one of them, or leave that limit out.",
        )
    return place[song]


def _turns(material: Material, pool: Sequence[int], limits: Limits) -> NDArray[np.bool_]:
    """Return which songs may take which turn; shape (n_songs, n_turns), one where there is none."""
    if not limits.in_turn:
        return np.ones((len(pool), 1), np.bool_)
    for fact in limits.in_turn:
        if not any(fact.casefold() in has for has in material.facts):
            raise PlanError(
                f"No song is described as {fact!r}.",
                "describe songs so (melodex describe), or leave that out of the turns.",
            )
    return np.array(
        [[fact.casefold() in material.facts[song] for fact in limits.in_turn] for song in pool],
        np.bool_,
    )


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
