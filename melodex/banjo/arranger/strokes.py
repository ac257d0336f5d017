"""The ways in which two hands can strike a melody note, or fill a slot between two."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

from melodex.banjo.arranger.melody_places import Reach, fret_cost, melody_places
from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.fretboard import FretPlace
from melodex.banjo.grips import grip
from melodex.banjo.right_hand import FINGERS_OF_STRING, USUAL_FINGER
from melodex.model.tuning import OPEN_G, SHORT_STRING


class Stroke(NamedTuple):
    """One way to sound a moment: the melody note first, if there is one, and what goes with it."""

    places: tuple[FretPlace, ...]  # none where the slot is silent
    fingers: str  # one letter for each place; "" where the right hand does nothing
    position: int  # fret of the left hand's index finger
    cost: float  # whatever comes before it, and whatever the roll wants
    # The links of a lick: what it follows has the same, and so has what it leads to; 0 for none.
    follows: int = 0
    leads_to: int = 0

    @property
    def is_of_a_lick(self) -> bool:
        """Whether it is one of a composed lick's, which stands in a roll's place."""
        return bool(self.follows or self.leads_to)


@lru_cache(maxsize=4096)
def melody_strokes(
    pitch: int, tones: frozenset[int], reach: Reach, *, pinched: bool
) -> tuple[Stroke, ...]:
    """List the ways to strike a melody note.

    Parameters
    ----------
    tones : frozenset of int
        Pitch classes of the chord that sounds.
    reach : Reach
        Positions of the left hand.
    pinched : bool
        Whether another string may be struck with it: a higher one or the drone, so that the
        melody is under the thumb and heard.
    """
    strokes: list[Stroke] = []
    for place in melody_places(pitch, reach.lowest):
        cost = fret_cost(place, reach) + ARRANGING.drone_melody * (place.string == SHORT_STRING)
        for position in reach.positions(place):
            for unusual, finger in enumerate(FINGERS_OF_STRING[place.string]):
                own = cost + ARRANGING.unusual_finger * unusual
                strokes.append(Stroke((place,), finger, position, own))
                if pinched:
                    strokes += _pinched(strokes[-1], _held(tones, position, reach))
    return tuple(strokes)


@lru_cache(maxsize=4096)
def slurred_strokes(pitch: int, reach: Reach) -> tuple[Stroke, ...]:
    """List the places where the left hand may sound a melody note by itself."""
    return tuple(
        Stroke((place,), "", position, fret_cost(place, reach) + ARRANGING.left_hand)
        for place in melody_places(pitch, reach.lowest)
        if place.string != SHORT_STRING
        for position in reach.positions(place)
    )


@lru_cache(maxsize=4096)
def fillers(
    tones: frozenset[int], melody: int | None, reach: Reach, *, pinched: bool
) -> tuple[Stroke, ...]:
    """List the ways to fill a slot, silence among them.

    Parameters
    ----------
    melody : int or None
        MIDI pitch of the melody note that still sounds.
    pinched : bool
        Whether two strings may be struck together.
    """
    strokes: list[Stroke] = []
    for position in range(reach.lowest, reach.highest + 1):
        strokes.append(Stroke((), "", position, 0.0))
        held = _held(tones, position, reach)
        for place in held:
            for unusual, finger in enumerate(FINGERS_OF_STRING[place.string]):
                own = ARRANGING.unusual_finger * unusual + _filler_cost(place, melody)
                strokes.append(Stroke((place,), finger, position, own))
        if pinched:
            strokes += _pairs(held, position, melody)
    return tuple(strokes)


def _held(tones: frozenset[int], position: int, reach: Reach) -> tuple[FretPlace, ...]:
    """Return what may sound under a chord; up the neck no open string but the drone."""
    held = grip(tones, position)
    if not reach.is_up_the_neck:
        return held
    return tuple(place for place in held if place.fret or place.string == SHORT_STRING)


def _pinched(alone: Stroke, held: tuple[FretPlace, ...]) -> Iterator[Stroke]:
    (melody,) = alone.places
    for other in held:
        finger = USUAL_FINGER[other.string]
        is_above = other.string < melody.string or other.string == SHORT_STRING
        if is_above and other.string != melody.string and finger != alone.fingers:
            cost = alone.cost + ARRANGING.pinched_melody + ARRANGING.held_fret * (other.fret > 0)
            yield Stroke((melody, other), alone.fingers + finger, alone.position, cost)


def _pairs(held: tuple[FretPlace, ...], position: int, melody: int | None) -> Iterator[Stroke]:
    for one, other in combinations(held, 2):
        fingers = USUAL_FINGER[one.string] + USUAL_FINGER[other.string]
        if fingers[0] != fingers[1] and one.string != other.string:
            cost = _filler_cost(one, melody) + _filler_cost(other, melody)
            # The pinch that beginners learn has the outer strings. Common practice, no source.
            inner = (one.string != 1) + (other.string != SHORT_STRING)
            yield Stroke((one, other), fingers, position, cost + ARRANGING.other_string * inner)


def _filler_cost(place: FretPlace, melody: int | None) -> float:
    sounds = OPEN_G.pitch(*place)
    rubs = melody is not None and (sounds - melody) % 12 in {1, 11}
    return (
        ARRANGING.held_fret * (place.fret > 0)
        + ARRANGING.rubs * rubs
        + ARRANGING.echoes * (sounds == melody)
    )
