"""The ways in which two hands can sound a moment: strings, frets, position, fingers."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import product
from typing import NamedTuple

from melodex.banjo.fingering_settings import (
    FREE_REACH,
    HIGHEST_POSITION,
    LONGEST_REACH,
    FingeringCosts,
)
from melodex.banjo.fretboard import FretPlace, fret_places
from melodex.banjo.right_hand import FINGERS_OF_STRING, OWN_STRINGS, STRINGS_BESIDE
from melodex.model.tuning import HIGHEST_FRET, SHORT_STRING, BanjoTuning

NOT_STRUCK = " "
BRUSH = "T"  # the thumb strikes notes that three fingers cannot pick


class Hands(NamedTuple):
    """One way to sound a moment."""

    places: tuple[FretPlace, ...]  # one for each pitch of the moment, in its order
    position: int  # the fret of the index finger; open strings do not constrain it
    # Right-hand fingers, one for each place, ``NOT_STRUCK`` if the left hand sounds it alone; "" if
    # that is true of all.
    fingers: str


@lru_cache(maxsize=4096)
def ways_to_sound(
    pitches: tuple[int, ...],
    tuning: BanjoTuning,
    struck: tuple[bool, ...] = (),
    *,
    highest_fret: int = HIGHEST_FRET,
) -> tuple[Hands, ...]:
    """Return every way to sound pitches together.

    Parameters
    ----------
    pitches : tuple of int
        MIDI note numbers, as many as there are strings or fewer.
    struck : tuple of bool
        Whether the right hand strikes each pitch, rather than a hammer-on, pull-off or slide; empty
        if it strikes all.
    highest_fret : int
        The highest fret that may be used.

    Returns
    -------
    tuple of Hands
        Empty if they cannot be reached together.
    """
    return tuple(
        Hands(places, position, fingers)
        for places in product(*(fret_places(pitch, tuning) for pitch in pitches))
        if len({place.string for place in places}) == len(places)
        if all(place.fret <= highest_fret for place in places)
        for position in _positions(places, highest_fret)
        for fingers in _right_hands(places, struck or (True,) * len(places))
    )


def _positions(places: Sequence[FretPlace], highest_fret: int) -> range:
    """Return the positions from which the left hand reaches all frets."""
    fretted = [place.fret for place in places if place.fret]
    if not fretted:
        return range(1, max(min(highest_fret, HIGHEST_POSITION), 1) + 1)
    return range(max(max(fretted) - LONGEST_REACH, 1), min(min(fretted), HIGHEST_POSITION) + 1)


def _right_hands(places: Sequence[FretPlace], struck: Sequence[bool]) -> list[str]:
    """Return fingers that can pick the struck places, none used twice; a brush if none can."""
    if not any(struck):
        return [""]
    choices = [
        list(FINGERS_OF_STRING[place.string]) if by_right_hand else [NOT_STRUCK]
        for place, by_right_hand in zip(places, struck, strict=True)
    ]
    picked = ["".join(fingers) for fingers in product(*choices) if _take_turns(fingers)]
    return picked or ["".join(BRUSH if each else NOT_STRUCK for each in struck)]


def _take_turns(fingers: Sequence[str]) -> bool:
    picking = [finger for finger in fingers if finger != NOT_STRUCK]
    return len(set(picking)) == len(picking)


def cost_of(hands: Hands, costs: FingeringCosts) -> float:
    """Return the cost of a way to sound a moment, independent of what comes before."""
    return sum(_cost_of_place(place, costs) for place in hands.places) + (
        costs.stretch * is_stretch(hands) + _cost_of_fingers(hands, costs)
    )


def _cost_of_place(place: FretPlace, costs: FingeringCosts) -> float:
    on_the_short_string = place.string == SHORT_STRING
    drone = costs.short_string * on_the_short_string
    if not place.fret:
        return costs.open_string + drone
    over_the_neck = costs.short_string_fretted * on_the_short_string
    return costs.from_aim * abs(place.fret - costs.aim) + over_the_neck + drone


def is_stretch(hands: Hands) -> bool:
    """Return whether the left hand spans more frets than its four fingers cover."""
    return any(place.fret > hands.position + FREE_REACH for place in hands.places)


def _cost_of_fingers(hands: Hands, costs: FingeringCosts) -> float:
    pairs: Iterable[tuple[FretPlace, str]] = zip(hands.places, hands.fingers, strict=False)
    return sum(
        costs.finger_beside * (place.string in STRINGS_BESIDE.get(finger, ()))
        + costs.thumb_inside * (finger == "T" and place.string == OWN_STRINGS["T"][0])
        for place, finger in pairs
    )
