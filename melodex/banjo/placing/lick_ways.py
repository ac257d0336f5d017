"""The ways in which two hands can play a sound of a lick, or of the song beside it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.fingering_settings import DOWN_THE_NECK
from melodex.banjo.fretboard import FretPlace
from melodex.banjo.hands import BRUSH, Hands, cost_of, ways_to_sound
from melodex.banjo.right_hand import FINGER_BITS, FINGERS_OF_STRING, STRINGS_BESIDE, USUAL_FINGER
from melodex.errors import MelodyError
from melodex.model.tablature import REACHED_BY_LEFT_HAND
from melodex.model.tuning import BanjoTuning

COSTS = DOWN_THE_NECK
# Costs of a finger on a string that another finger plays in rolls, and next to its own strings.
# Common practice, no source.
_NOT_THE_USUAL, _BESIDE = 0.1, 0.3
_OTHER_FINGER = 1.0  # than the lick's own
_OTHER_FINGER_OF_SONG = 5.0  # than the song's own
_OFF_ITS_STRING = 0.8  # a note of a lick from tab; as much as being about five frets higher


class LickNote(NamedTuple):
    """A note to be played, and what is already fixed about it."""

    pitch: int
    place: FretPlace | None = None  # its original place
    is_fixed: bool = False  # whether it must stay there
    left_hand: str = ""
    finger: str = ""  # its original finger

    @property
    def is_struck(self) -> bool:
        """Whether the right hand strikes it."""
        return self.left_hand not in REACHED_BY_LEFT_HAND


class LickSound(NamedTuple):
    """Notes that begin together."""

    onset: float  # quarter notes
    measure: int
    notes: tuple[LickNote, ...]
    is_song: bool = False  # next to the lick; its fingers change only as a last resort
    is_settled: bool = False  # whether its fingers must stay

    @property
    def is_struck(self) -> bool:
        """Whether the right hand strikes any of it."""
        return any(note.is_struck for note in self.notes)


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """The ways to play one sound; arrays have shape (n_ways,) or (n_ways, n_notes)."""

    hands: tuple[Hands, ...]
    own: NDArray[np.float64]
    positions: NDArray[np.int64]
    strings: NDArray[np.int64]  # (n_ways, n_notes)
    fingers: NDArray[np.int64]  # a bit for each finger of the latest stroke


def layer_of(sound: LickSound, tuning: BanjoTuning, before: NDArray[np.int64] | None) -> Layer:
    """Return the ways to play a sound; one without a stroke is listed for each latest stroke."""
    other_finger = _OTHER_FINGER_OF_SONG if sound.is_song else _OTHER_FINGER
    layer = _layer(sound.notes, tuning, inf if sound.is_settled else other_finger)
    if layer is None:
        raise MelodyError(
            f"No hand can reach the {len(sound.notes)} notes together that the lick has in measure "
            f"{sound.measure}.",
            "leave notes out of that chord.",
        )
    if sound.is_struck:
        return layer
    last = np.unique(before) if before is not None else np.zeros(1, np.int64)
    each = len(layer.hands)
    return Layer(
        layer.hands * len(last),
        np.tile(layer.own, len(last)),
        np.tile(layer.positions, len(last)),
        np.tile(layer.strings, (len(last), 1)),
        np.repeat(last, each),
    )


@lru_cache(maxsize=4096)
def _layer(notes: tuple[LickNote, ...], tuning: BanjoTuning, other_finger: float) -> Layer | None:
    ways = [
        (Hands(hands.places, hands.position, fingers), own + cost)
        for hands, own in _left_hands(notes, tuning)
        for fingers, cost in _right_hands(notes, hands.places, other_finger)
    ]
    if not ways:
        return None
    every = tuple(hands for hands, _ in ways)
    bits = [sum({FINGER_BITS.get(finger, 0) for finger in hands.fingers}) for hands in every]
    return Layer(
        every,
        np.array([cost for _, cost in ways]),
        np.array([hands.position for hands in every]),
        np.array([[place.string for place in hands.places] for hands in every]),
        np.array(bits),
    )


def _left_hands(notes: Sequence[LickNote], tuning: BanjoTuning) -> list[tuple[Hands, float]]:
    """Return strings, frets and positions, each with its cost."""
    fixed = tuple(note.place for note in notes if note.is_fixed and note.place is not None)
    ways = [
        hands
        for hands in ways_to_sound(tuple(note.pitch for note in notes), tuning, struck=False)
        if all(
            not note.is_fixed or note.place == place
            for note, place in zip(notes, hands.places, strict=True)
        )
    ]
    if not ways and len(fixed) == len(notes):  # the source needs a larger hand than we assume
        ways = [Hands(fixed, max(1, *(place.fret for place in fixed)), "")]
    return [
        (hands, cost_of(hands, COSTS) + _cost_of_leaving(notes, hands.places)) for hands in ways
    ]


def _cost_of_leaving(notes: Sequence[LickNote], places: Sequence[FretPlace]) -> float:
    return _OFF_ITS_STRING * sum(
        note.place is not None and note.place.string != place.string
        for note, place in zip(notes, places, strict=True)
    )


def _right_hands(
    notes: Sequence[LickNote], places: Sequence[FretPlace], other_finger: float
) -> list[tuple[str, float]]:
    """Return the fingers that can strike a sound, a letter for each note, each with its cost.

    Thumb, index and middle are in this order across the strings; a blank is a note that is not
    struck. If three fingers cannot pick the notes, the thumb brushes them.
    """
    struck = [note.is_struck for note in notes]
    options = [
        _fingers_at(note, place, other_finger) if each else {" ": 0.0}
        for note, place, each in zip(notes, places, struck, strict=True)
    ]
    ways = [
        (
            "".join(fingers),
            sum(option[finger] for option, finger in zip(options, fingers, strict=True)),
        )
        for fingers in product(*options)
        if _lie_in_order(fingers, places) or _are_stated(fingers, notes)
    ]
    return ways or [("".join(BRUSH if each else " " for each in struck), 0.0)]


def _are_stated(fingers: Sequence[str], notes: Sequence[LickNote]) -> bool:
    """Return whether these fingers agree with all that the source states, however unusual."""
    stated = [note.finger for note in notes if note.is_struck]
    struck = [finger for finger in fingers if finger != " "]
    return any(stated) and all(
        own in ("", finger) for own, finger in zip(stated, struck, strict=True)
    )


def _fingers_at(note: LickNote, place: FretPlace, other_finger: float) -> dict[str, float]:
    """Return each finger's cost for a note; its own finger is free on its own string."""
    costs = {
        finger: _finger_cost(finger, place.string) for finger in FINGERS_OF_STRING[place.string]
    }
    if not note.finger or note.place is None or note.place.string != place.string:
        return costs
    others = {finger: cost + other_finger for finger, cost in costs.items()}
    return {**others, note.finger: 0.0}


def _finger_cost(finger: str, string: int) -> float:
    if string in STRINGS_BESIDE[finger]:
        return _BESIDE
    return _NOT_THE_USUAL * (finger != USUAL_FINGER[string])


def _lie_in_order(fingers: Sequence[str], places: Sequence[FretPlace]) -> bool:
    """Return whether no finger strikes twice and none crosses another."""
    ordered = sorted(
        (place.string, finger)
        for finger, place in zip(fingers, places, strict=True)
        if finger != " "
    )
    letters = "".join(finger for _, finger in ordered)
    return letters in ("M", "I", "T", "MI", "MT", "IT", "MIT", "")
