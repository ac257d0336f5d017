"""Choose both hands for a lick within a song: strings, frets and fingers, by dynamic programming.

The song's sounds on either side are included, so that both hands can join the lick to them.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.fingering_settings import is_fast
from melodex.banjo.fretboard import FretPlace
from melodex.banjo.hands import Hands
from melodex.banjo.placing.lick_ways import COSTS, Layer, LickSound, layer_of
from melodex.model.tuning import BanjoTuning

# A slur cannot change strings; next to that, using a finger twice in a fast passage is the last
# resort.
_BROKEN_SLUR = 100.0
_SAME_FINGER = 40.0


class PlayedSound(NamedTuple):
    """A sound with strings, frets and fingers, in the order of its notes."""

    onset: float
    measure: int
    places: tuple[FretPlace, ...]
    position: int
    fingers: tuple[str, ...]  # "" if only the left hand sounds the note
    left_hands: tuple[str, ...]


def played(sounds: Sequence[LickSound], tuning: BanjoTuning) -> list[PlayedSound]:
    """Return strings, frets and fingers for a lick and the sounds beside it.

    A slur whose two notes are not on one string is struck instead.

    Returns
    -------
    list of PlayedSound
        One for each sound: a sequence with the minimum sum of costs.

    Raises
    ------
    MelodyError
        If the notes of a sound cannot be reached together.
    """
    wanted = list(sounds)
    while True:
        chosen = _cheapest(wanted, tuning)
        broken = [
            (sound, note)
            for sound, each in enumerate(wanted)
            for note in range(len(each.notes))
            if _is_broken(wanted, chosen, sound, note)
        ]
        if not broken:
            return [_as_played(*pair) for pair in zip(wanted, chosen, strict=True)]
        for sound, note in broken:
            notes = list(wanted[sound].notes)
            notes[note] = notes[note]._replace(left_hand="")
            wanted[sound] = wanted[sound]._replace(notes=tuple(notes))


def _as_played(sound: LickSound, hands: Hands) -> PlayedSound:
    return PlayedSound(
        sound.onset,
        sound.measure,
        hands.places,
        hands.position,
        tuple(finger.strip() for finger in hands.fingers),
        tuple(note.left_hand for note in sound.notes),
    )


def _start_of(sounds: Sequence[LickSound], sound: int, note: int) -> tuple[int, int] | None:
    """Return the note that a slur starts from: the last one before it on its string."""
    slurred = sounds[sound].notes[note]
    if slurred.is_struck or slurred.place is None:
        return None
    for earlier in range(sound - 1, -1, -1):
        for number, other in enumerate(sounds[earlier].notes):
            if other.place is not None and other.place.string == slurred.place.string:
                return earlier, number
    return None


def _is_broken(sounds: Sequence[LickSound], chosen: Sequence[Hands], sound: int, note: int) -> bool:
    """Return whether a slur would not start from the last note before it on its string."""
    start = _start_of(sounds, sound, note)
    if sounds[sound].notes[note].is_struck or sounds[sound].is_song:
        return False
    if start is None:
        return True
    place, begins = chosen[sound].places[note], chosen[start[0]].places[start[1]]
    between = (other for hands in chosen[start[0] + 1 : sound] for other in hands.places)
    return (
        place.string != begins.string
        or place.fret == begins.fret
        or any(other.string == place.string for other in between)
    )


def _cheapest(sounds: Sequence[LickSound], tuning: BanjoTuning) -> list[Hands]:
    layers: list[Layer] = []
    for sound in sounds:
        layers.append(layer_of(sound, tuning, layers[-1].fingers if layers else None))
    total = layers[0].own
    steps_back: list[NDArray[np.intp]] = []
    last_stroke = sounds[0].onset if sounds[0].is_struck else -np.inf
    for number in range(1, len(sounds)):
        sound, before, after = sounds[number], layers[number - 1], layers[number]
        sums = total[:, None] + _between(before, after, _slurs(sounds, number))
        if not sound.is_struck:
            sums[before.fingers[:, None] != after.fingers] = np.inf
        elif is_fast(last_stroke, sound.onset):
            sums += _SAME_FINGER * ((before.fingers[:, None] & after.fingers) != 0)
        steps_back.append(sums.argmin(axis=0))
        total = sums.min(axis=0) + after.own
        last_stroke = sound.onset if sound.is_struck else last_stroke
    chosen = [int(total.argmin())]
    for step in reversed(steps_back):
        chosen.append(int(step[chosen[-1]]))
    return [layer.hands[way] for layer, way in zip(layers, reversed(chosen), strict=True)]


def _slurs(sounds: Sequence[LickSound], sound: int) -> list[tuple[int, int]]:
    """Return which notes of a sound are slurred from which of the previous sound."""
    starts = [_start_of(sounds, sound, note) for note in range(len(sounds[sound].notes))]
    return [
        (start[1], note)
        for note, start in enumerate(starts)
        if start is not None and start[0] == sound - 1
    ]


def _between(before: Layer, after: Layer, slurs: Sequence[tuple[int, int]]) -> NDArray[np.float64]:
    """Return the cost from each way to each way of the next sound; shape (n_before, n_after)."""
    moves: NDArray[np.float64] = COSTS.shift * np.abs(before.positions[:, None] - after.positions)
    for start, note in slurs:
        moves += _BROKEN_SLUR * (before.strings[:, start][:, None] != after.strings[:, note])
    return moves
