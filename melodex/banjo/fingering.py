"""Choose strings and frets for a melody at minimum cost for both hands, by dynamic programming."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.fingering_settings import DOWN_THE_NECK, FingeringCosts, is_fast
from melodex.banjo.fretboard import FretPlace
from melodex.banjo.hands import NOT_STRUCK, Hands, cost_of, ways_to_sound
from melodex.banjo.moments import Moment
from melodex.banjo.right_hand import FINGER_BITS
from melodex.errors import MelodyError
from melodex.model.tablature import REACHED_BY_LEFT_HAND
from melodex.model.tuning import HIGHEST_FRET, SHORT_STRING, BanjoTuning

SILENT = -1


@dataclass(frozen=True, slots=True, eq=False)
class _Layer:
    """The ways to sound one moment; arrays have shape (n_ways,)."""

    ways: tuple[Hands, ...]
    own: NDArray[np.float64]
    positions: NDArray[np.int64]
    fingers: NDArray[np.int64]  # a bit for each finger
    strings: NDArray[np.int64]  # shape (n_ways, n_pitches)
    frets: NDArray[np.int64]  # shape (n_ways, n_pitches)
    fret_on_string: NDArray[np.int64]  # shape (n_ways, 1 + strings), SILENT if none sounds


def fingering(
    moments: Sequence[Moment],
    tuning: BanjoTuning,
    costs: FingeringCosts = DOWN_THE_NECK,
    *,
    highest_fret: int = HIGHEST_FRET,
) -> list[Hands]:
    """Return strings, frets, hand positions and right-hand fingers, chosen together.

    Parameters
    ----------
    highest_fret : int
        The highest fret that may be used.

    Returns
    -------
    list of Hands
        One for each moment: a sequence with the minimum sum of ``cost_of`` and of
        ``FingeringCosts`` between neighbours. O(moments x ways squared).

    Raises
    ------
    MelodyError
        If the notes of a moment cannot be reached together.
    """
    if not moments:
        return []
    layers = [_layer_of(moment, tuning, costs, highest_fret) for moment in moments]
    total = layers[0].own
    steps_back: list[NDArray[np.intp]] = []
    for (before, after), (earlier, moment) in zip(pairwise(layers), pairwise(moments), strict=True):
        sums = total[:, None] + _between(before, after, moment, costs)
        if is_fast(earlier.onset, moment.onset):
            takes_turns = (before.fingers[:, None] & after.fingers) == 0
            sums += costs.same_finger * ~takes_turns
        steps_back.append(sums.argmin(axis=0))
        total = sums.min(axis=0) + after.own
    chosen = [int(total.argmin())]
    for step in reversed(steps_back):
        chosen.append(int(step[chosen[-1]]))
    return [layer.ways[way] for layer, way in zip(layers, reversed(chosen), strict=True)]


def _between(
    before: _Layer, after: _Layer, moment: Moment, costs: FingeringCosts
) -> NDArray[np.float64]:
    """Return the cost from each way to each way of the next moment; shape (n_before, n_after)."""
    moves: NDArray[np.float64] = costs.shift * np.abs(before.positions[:, None] - after.positions)
    for place, left_hand in enumerate(moment.left_hands):
        if left_hand in REACHED_BY_LEFT_HAND:
            fret, earlier = after.frets[:, place], before.fret_on_string[:, after.strings[:, place]]
            leads_there = (earlier != SILENT) & ~(
                ((left_hand == "hammer-on") & (earlier >= fret))
                | ((left_hand == "pull-off") & (earlier <= fret))
            )
            moves += costs.off_the_string * ~leads_there
    return moves


def _layer_of(
    moment: Moment, tuning: BanjoTuning, costs: FingeringCosts, highest_fret: int
) -> _Layer:
    layer = _layer(moment.pitches, tuning, costs, highest_fret, moment.struck)
    if not layer.ways:
        raise MelodyError(
            f"No hand can reach the {len(moment.pitches)} notes together in measure "
            f"{moment.measure}.",
            "leave notes out of that chord, or choose another tuning.",
        )
    return layer


@lru_cache(maxsize=4096)
def _layer(
    pitches: tuple[int, ...],
    tuning: BanjoTuning,
    costs: FingeringCosts,
    highest_fret: int,
    struck: tuple[bool, ...],
) -> _Layer:
    ways = ways_to_sound(pitches, tuning, struck, highest_fret=highest_fret)
    return _Layer(
        ways,
        np.array([cost_of(hands, costs) for hands in ways]),
        np.array([hands.position for hands in ways]),
        np.array(
            [
                sum(FINGER_BITS[finger] for finger in set(hands.fingers) - {NOT_STRUCK})
                for hands in ways
            ]
        ),
        np.array([[place.string for place in hands.places] for hands in ways]),
        np.array([[place.fret for place in hands.places] for hands in ways]),
        np.array([_fret_on_string(hands.places) for hands in ways]),
    )


def _fret_on_string(places: Iterable[FretPlace]) -> list[int]:
    frets = [SILENT] * (SHORT_STRING + 1)
    for string, fret in places:
        frets[string] = fret
    return frets
