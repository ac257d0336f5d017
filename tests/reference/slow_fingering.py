"""The cheapest fingering by trying every one: slow, obvious."""

from collections.abc import Iterator, Sequence
from itertools import pairwise, product

from melodex.banjo.fingering_settings import FAST, FingeringCosts
from melodex.banjo.fretboard import FretPlace
from melodex.banjo.hands import Hands, cost_of
from melodex.banjo.moments import Moment
from melodex.model.tuning import BanjoTuning

FINGERS = {1: "MI", 2: "TIM", 3: "TI", 4: "TI", 5: "T"}


def total_cost(moments: Sequence[Moment], chosen: Sequence[Hands], costs: FingeringCosts) -> float:
    """Add up what a whole fingering costs."""
    total = sum(cost_of(hands, costs) for hands in chosen)
    for (earlier, later), (before, after) in zip(pairwise(moments), pairwise(chosen), strict=True):
        total += costs.shift * abs(after.position - before.position)
        if set(before.fingers) & set(after.fingers) and later.onset - earlier.onset <= FAST:
            total += costs.same_finger
        if not later.struck[0] and before.places[0].string != after.places[0].string:
            total += costs.off_the_string
    return total


def cheapest(
    moments: Sequence[Moment], tuning: BanjoTuning, costs: FingeringCosts, highest_fret: int
) -> float:
    """Return the least cost of all fingerings of single notes up to a fret."""
    every = product(*(list(_ways(moment, tuning, highest_fret)) for moment in moments))
    return min(total_cost(moments, chosen, costs) for chosen in every)


def _ways(moment: Moment, tuning: BanjoTuning, highest_fret: int) -> Iterator[Hands]:
    (pitch,) = moment.pitches
    for string in range(1, 6):
        for fret in range(highest_fret + 1):
            if not tuning.has(string, fret) or tuning.pitch(string, fret) != pitch:
                continue
            for position in range(1, highest_fret + 1):
                if fret and not position <= fret <= position + 4:
                    continue
                for finger in FINGERS[string] if moment.struck[0] else "":
                    yield Hands((FretPlace(string, fret),), position, finger)
                if not moment.struck[0]:
                    yield Hands((FretPlace(string, fret),), position, "")
