"""The ways to sound a moment as arrays, and the costs between successive ones."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.arranger.strokes import Stroke
from melodex.banjo.right_hand import FINGER_BITS

_ALL_FINGERS, _ALL_STRINGS = 7, 62  # bits 0 to 2; bits 1 to 5
# Bit offsets within the code of a stroke: fingers and strings of all its notes, then of the melody
# note alone.
_STRINGS, _MELODY_FINGERS, _MELODY_STRINGS = 3, 9, 12
NOTHING_STRUCK = 0


@dataclass(frozen=True, slots=True, eq=False)
class StrokeLayer:
    """The ways to sound one moment; arrays have shape (n_ways,)."""

    strokes: Sequence[Stroke]
    costs: NDArray[np.float64]
    positions: NDArray[np.int64]
    codes: NDArray[np.int64]  # fingers and strings struck here, or last if none are
    strikes: NDArray[np.bool_]
    slurred_strings: NDArray[np.int64]  # 0 if the left hand slurs no melody note
    melody_strings: NDArray[np.int64]  # 0 if no melody note is struck
    stopped_fillers: NDArray[np.int64]  # number of fretted notes other than the melody's
    follows: NDArray[np.int64]  # links of licks, 0 for none
    leads_to: NDArray[np.int64]


def stroke_layer_of(
    strokes: Iterable[Stroke], *, is_melody: bool, struck_before: Iterable[int]
) -> StrokeLayer:
    """Return the ways to sound a moment.

    Parameters
    ----------
    struck_before : iterable of int
        Possible codes of the moment before; a way without a stroke is listed once for each, to
        remember what was struck last.
    """
    ways = [
        (stroke, code)
        for stroke in strokes
        for code in ([_code(stroke, is_melody=is_melody)] if stroke.fingers else struck_before)
    ]
    strings = [stroke.places[0].string if stroke.places else 0 for stroke, _ in ways]
    strikes = np.array([bool(stroke.fingers) for stroke, _ in ways])
    first_strings = np.array(strings, np.int64)
    follows = np.array([stroke.follows for stroke, _ in ways])
    return StrokeLayer(
        [stroke for stroke, _ in ways],
        np.array([stroke.cost for stroke, _ in ways]),
        np.array([stroke.position for stroke, _ in ways]),
        np.array([code for _, code in ways], np.int64),
        strikes,
        np.where(strikes | (follows > 0), 0, first_strings),
        first_strings * (strikes & is_melody),
        np.array([sum(p.fret > 0 for p in stroke.places[is_melody:]) for stroke, _ in ways]),
        follows,
        np.array([stroke.leads_to for stroke, _ in ways]),
    )


def _code(stroke: Stroke, *, is_melody: bool) -> int:
    fingers = [FINGER_BITS[finger] for finger in stroke.fingers]
    strings = [1 << place.string for place in stroke.places]
    code = sum(set(fingers)) | sum(strings) << _STRINGS - 1
    if is_melody:
        code |= fingers[0] << _MELODY_FINGERS | strings[0] << _MELODY_STRINGS - 1
    return code


def remembered(layer: StrokeLayer, *, soon: bool) -> NDArray[np.int64]:
    """Return the code that each way passes on to the next moment.

    Parameters
    ----------
    soon : bool
        Whether the right hand may strike again within a fast note, after one moment of rest.
    """
    return np.where(layer.strikes & soon, layer.codes, NOTHING_STRUCK)


def cost_between(
    before: StrokeLayer, after: StrokeLayer, *, fast: bool, soon: bool
) -> NDArray[np.float64]:
    """Return the cost from each way to each way of the next moment.

    Parameters
    ----------
    fast : bool
        Whether the next moment is so soon that fingers must alternate.
    soon : bool
        As ``remembered``.

    Returns
    -------
    shape (n_before, n_after), infinite where one cannot follow the other
    """
    moves = np.abs(before.positions[:, None] - after.positions)
    cost: NDArray[np.float64] = ARRANGING.shift * moves
    if fast:
        cost += ARRANGING.fast_shift * moves**2
    still = np.where(before.strikes & (not fast), NOTHING_STRUCK, before.codes)
    cost += np.where(after.strikes, _taking_turns(still, after.codes), 0.0)
    kept = remembered(before, soon=soon)[:, None] == after.codes
    slurs = before.melody_strings[:, None] == after.slurred_strings
    possible = after.strikes | (kept & (slurs | (after.slurred_strings == 0)))
    possible &= before.leads_to[:, None] == after.follows
    return np.where(possible, cost, np.inf)


def _taking_turns(before: NDArray[np.int64], after: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return the cost of strokes in quick succession; shape (n_before, n_after)."""
    both = before[:, None] & after
    fingers, strings = both & _ALL_FINGERS, both >> _STRINGS - 1 & _ALL_STRINGS
    melody_fingers = both >> _MELODY_FINGERS & _ALL_FINGERS
    melody_strings = both >> _MELODY_STRINGS - 1 & _ALL_STRINGS
    by_filler = 1.0 * (fingers != melody_fingers) + (strings != melody_strings)
    cost: NDArray[np.float64] = (
        ARRANGING.out_of_the_question * by_filler
        + ARRANGING.same_finger * (melody_fingers > 0)
        + ARRANGING.same_string * (melody_strings > 0)
    )
    return cost
