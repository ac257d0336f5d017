"""Choose right hand, left hand and fillers of a whole tune together, by dynamic programming."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.arranger.melody_places import AT_THE_NUT, Reach, reach_of
from melodex.banjo.arranger.roll_costs import roll_costs
from melodex.banjo.arranger.roll_patterns import RollPattern
from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.arranger.stroke_layers import (
    NOTHING_STRUCK,
    StrokeLayer,
    cost_between,
    remembered,
    stroke_layer_of,
)
from melodex.banjo.arranger.stroke_moments import StrokeMoment
from melodex.banjo.arranger.strokes import Stroke, fillers, melody_strokes, slurred_strokes
from melodex.banjo.fingering_settings import is_fast


@dataclass(frozen=True, slots=True)
class MeasurePlan:
    """What may fill a measure."""

    patterns: tuple[RollPattern, ...]  # one of which is played
    off_the_roll: float  # cost of a slot without the roll's finger
    pinches: bool  # whether a melody note may be pinched with the roll's string
    pairs: bool  # whether a filler may be two strings struck together
    slurs: bool  # whether the left hand may sound a melody note alone
    stopped_filler: float = 0.0  # additional cost of a fretted filler


@dataclass(frozen=True, slots=True)
class CheapestStrokes:
    """The cheapest arrangement."""

    strokes: list[Stroke]  # one for each moment
    rolls: list[RollPattern]  # one for each moment
    cost: float


def cheapest(
    moments: Sequence[StrokeMoment],
    plans: Sequence[MeasurePlan],
    licks: Sequence[Sequence[Stroke]],
    lowest: int = AT_THE_NUT,
) -> CheapestStrokes:
    """Return the cheapest strokes for each moment and roll for each measure.

    Parameters
    ----------
    plans : sequence of MeasurePlan
        One for each measure.
    licks : sequence of sequences of Stroke
        For each moment the strokes of composed licks that may be played there.
    lowest : int
        ``AT_THE_NUT``, or ``UP_THE_NECK``.

    Returns
    -------
    Found
        A sequence with the minimum sum of ``StrokeCosts``. O(moments x patterns x ways squared).
    """
    reach = reach_of({m.pitch for m in moments if m.pitch is not None}, lowest)
    layers: list[StrokeLayer] = []
    steps_back: list[NDArray[np.intp]] = []
    total = np.empty((0, 0))
    for place, moment in enumerate(moments):
        plan = plans[moment.measure]
        soon = _strikes_again_soon(moments, place)
        left = remembered(layers[-1], soon=soon) if layers else np.array([NOTHING_STRUCK])
        layer = stroke_layer_of(
            [*_ways(moment, plan, reach), *licks[place]],
            is_melody=moment.pitch is not None,
            struck_before=np.unique(left).tolist(),
        )
        own = roll_costs(moment, plan.patterns, layer.strokes, plan.off_the_roll)
        own += layer.costs + plan.stopped_filler * layer.stopped_fillers
        if layers:
            earlier = moments[place - 1]
            between = cost_between(
                layers[-1], layer, fast=is_fast(earlier.onset, moment.onset), soon=soon
            )
            changes = None
            if earlier.measure != moment.measure:
                changes = _changes(plans[earlier.measure].patterns, plan.patterns)
            total, came_from = _reached(total, changes, between)
            steps_back.append(came_from)
            own += total
        total = own
        layers.append(layer)
    return _traced(moments, plans, layers, steps_back, total)


def _strikes_again_soon(moments: Sequence[StrokeMoment], place: int) -> bool:
    """Return whether the moments before and after an index are within one fast note."""
    if not 0 < place < len(moments) - 1:
        return False
    return is_fast(moments[place - 1].onset, moments[place + 1].onset)


def _ways(moment: StrokeMoment, plan: MeasurePlan, reach: Reach) -> tuple[Stroke, ...]:
    if moment.pitch is None:
        pinched = plan.pairs or moment.is_last_pinch
        return fillers(moment.tones, moment.sounding, reach, pinched=pinched)
    struck = melody_strokes(moment.pitch, moment.tones, reach, pinched=plan.pinches)
    if plan.slurs and moment.may_slur:
        return (*struck, *slurred_strokes(moment.pitch, reach))
    return struck


def _changes(before: Sequence[RollPattern], after: Sequence[RollPattern]) -> NDArray[np.float64]:
    """Return the costs of changing rolls; shape (n_before, n_after)."""
    return np.array(
        [[ARRANGING.change_of_roll * (one.roll != other.roll) for other in after] for one in before]
    )


def _reached(
    total: NDArray[np.float64],
    changes: NDArray[np.float64] | None,
    between: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Choose the best predecessor of each roll and stroke of the next moment.

    Parameters
    ----------
    total : shape (n_rolls, n_before)
        Costs up to the previous moment.
    changes : shape (n_rolls, n_rolls_after) or None
        Costs of changing rolls at a bar line; None within a measure.
    between : shape (n_before, n_after)

    Returns
    -------
    shape (n_rolls_after, n_after)
        Costs, without those of the moment itself.
    shape (n_rolls_after, n_after)
        The predecessor, as an index into the flattened ``total``.
    """
    rolls, ways = total.shape
    from_roll: NDArray[np.intp] = np.empty((rolls, ways), np.intp)
    if changes is None:
        from_roll[:] = np.arange(rolls, dtype=np.intp)[:, None]
    else:
        entering = total[:, None, :] + changes[:, :, None]
        from_roll, total = entering.argmin(axis=0), entering.min(axis=0)
    sums = total[:, :, None] + between
    from_way = sums.argmin(axis=1)
    cost = np.take_along_axis(sums, from_way[:, None, :], axis=1)[:, 0, :]
    return cost, np.take_along_axis(from_roll, from_way, axis=1) * ways + from_way


def _traced(
    moments: Sequence[StrokeMoment],
    plans: Sequence[MeasurePlan],
    layers: Sequence[StrokeLayer],
    steps_back: Sequence[NDArray[np.intp]],
    total: NDArray[np.float64],
) -> CheapestStrokes:
    places = [int(total.argmin())]
    for step in reversed(steps_back):
        places.append(int(step.ravel()[places[-1]]))
    strokes: list[Stroke] = []
    rolls: list[RollPattern] = []
    for moment, layer, place in zip(moments, layers, reversed(places), strict=True):
        roll, way = divmod(place, len(layer.strokes))
        strokes.append(layer.strokes[way])
        rolls.append(plans[moment.measure].patterns[roll])
    return CheapestStrokes(strokes, rolls, float(total.min()))
