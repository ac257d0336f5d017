"""How far a stroke is from what a roll wants in its slot."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.arranger.roll_patterns import PINCHED, REST, RollPattern
from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.arranger.stroke_moments import StrokeMoment
from melodex.banjo.arranger.strokes import Stroke

_TWO = 2


def roll_costs(
    moment: StrokeMoment,
    patterns: Sequence[RollPattern],
    strokes: Sequence[Stroke],
    off_the_roll: float,
) -> NDArray[np.float64]:
    """Compare each way to sound a moment with each roll.

    Parameters
    ----------
    off_the_roll : float
        What it costs if the roll's finger does not strike.

    Returns
    -------
    shape (n_patterns, n_strokes)
    """
    place = moment.place
    if place is None:
        return np.zeros((len(patterns), len(strokes)))
    wanted = [
        (pattern.strings[place % len(pattern.strings)], pattern.index_on_third)
        for pattern in patterns
    ]
    fingers = dict(zip(wanted, patterns, strict=True))
    rows = {
        each: [
            0.0
            if stroke.is_of_a_lick
            else _cost(moment, each[0], pattern.finger_of, stroke, off_the_roll)
            for stroke in strokes
        ]
        for each, pattern in fingers.items()
    }
    unsuited = [ARRANGING.unsuited_roll * (not pattern.suits_the_metre) for pattern in patterns]
    costs: NDArray[np.float64] = np.array([rows[each] for each in wanted])
    costs += np.array(unsuited)[:, None]
    return costs


def _cost(
    moment: StrokeMoment,
    wanted: int,
    finger_of: Callable[[int], str],
    stroke: Stroke,
    off_the_roll: float,
) -> float:
    struck = [place.string for place in stroke.places] if stroke.fingers else []
    if moment.is_last_pinch:
        return ARRANGING.out_of_the_question * (len(struck) < _TWO)
    if wanted == REST:
        return off_the_roll * _TWO * (moment.pitch is None and bool(struck))
    silent = ARRANGING.silent_slot * (moment.pitch is None and not struck)
    if wanted == PINCHED:
        return silent + max(off_the_roll, ARRANGING.unpinched) * (len(struck) < _TWO)
    finger = finger_of(wanted)
    if finger not in [finger_of(string) for string in struck]:
        return silent + off_the_roll
    return ARRANGING.other_string * (wanted not in struck)
