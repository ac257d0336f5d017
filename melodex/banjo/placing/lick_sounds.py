"""Convert a lick at a place of a song, and the song's notes beside it, to sounds to be fingered."""

from collections.abc import Iterable, Sequence
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from melodex.banjo.fretboard import FretPlace
from melodex.banjo.placing.lick_hands import PlayedSound
from melodex.banjo.placing.lick_ways import LickNote, LickSound
from melodex.banjo.placing.lick_windows import LickWindow
from melodex.model.lick import Lick
from melodex.model.tablature import TabNote
from melodex.model.tuning import SHORT_STRING, BanjoTuning, tuning_of_pitches

DRONE = FretPlace(SHORT_STRING, 0)


def drones_of(lick: Lick) -> NDArray[np.bool_]:
    """Return whether each note of a lick's melody is the open short string; shape (n_notes,)."""
    return np.array([max(notes, key=_pitch).place == DRONE for notes in _own_notes(lick)], np.bool_)


def pitches_that_move(lick: Lick) -> NDArray[np.int16]:
    """Return all pitches of a lick, including chord tones, that move when it is transposed."""
    pitches = [note.pitch for notes in _own_notes(lick) for note in notes if note.place != DRONE]
    return np.array(pitches, np.int16)


def sounds_in(window: LickWindow, lick: Lick, shift: int, tuning: BanjoTuning) -> list[LickSound]:
    """Return the sounds of a lick at a place of a song.

    All strings and frets are kept if they still sound the wanted pitches; otherwise only the drone.

    Parameters
    ----------
    shift : int
        Half-steps from the lick as given; up is positive.
    """
    moved = [[_moved(note, shift, tuning) for note in notes] for notes in _own_notes(lick)]
    keeps_all = all(_still_sounds(note, tuning) for notes in moved for note in notes)
    return [
        LickSound(
            onset,
            measure,
            tuple(note._replace(is_fixed=keeps_all or note.place == DRONE) for note in notes),
        )
        for onset, measure, notes in zip(
            window.onsets.tolist(), window.measures, moved, strict=True
        )
    ]


def _own_notes(lick: Lick) -> list[list[LickNote]]:
    """Return what sounds at each note of a lick's melody."""
    hands = lick.hands
    tuning = None if hands is None else tuning_of_pitches(hands.open_strings)
    if hands is None or tuning is None:
        return [[LickNote(pitch)] for pitch in lick.melody.pitches.tolist()]
    return [
        [
            LickNote(
                tuning.pitch(note.string, note.fret),
                FretPlace(note.string, note.fret),
                left_hand=note.left_hand,
                finger=note.finger,
            )
            for note in notes
        ]
        for _, notes in groupby(hands.notes, key=_onset)
    ]


def _moved(note: LickNote, shift: int, tuning: BanjoTuning) -> LickNote:
    is_drone = note.place == DRONE
    return note._replace(
        pitch=tuning.open_strings[SHORT_STRING - 1] if is_drone else note.pitch + shift
    )


def _still_sounds(note: LickNote, tuning: BanjoTuning) -> bool:
    """Return whether a note's own place sounds its pitch."""
    place = note.place
    return place is not None and tuning.has(*place) and tuning.pitch(*place) == note.pitch


def sounds_of_song(notes: Iterable[TabNote], measure: int, tuning: BanjoTuning) -> list[LickSound]:
    """Return notes of a song as sounds with fixed strings and frets."""
    return [
        LickSound(
            onset,
            measure,
            tuple(
                LickNote(
                    tuning.pitch(note.string, note.fret),
                    FretPlace(note.string, note.fret),
                    is_fixed=True,
                    left_hand=note.left_hand,
                    finger=note.finger,
                )
                for note in together
            ),
            is_song=True,
        )
        for onset, together in groupby(notes, key=_onset)
    ]


def tab_notes(sounds: Sequence[PlayedSound], durations: Sequence[float]) -> tuple[TabNote, ...]:
    """Return played sounds as notes of a tab, sorted by onset, then string."""
    return tuple(
        TabNote(sound.onset, duration, place.string, place.fret, left_hand, finger)
        for sound, duration in zip(sounds, durations, strict=True)
        for place, left_hand, finger in sorted(
            zip(sound.places, sound.left_hands, sound.fingers, strict=True)
        )
    )


def _onset(note: TabNote) -> float:
    return note.onset


def _pitch(note: LickNote) -> int:
    return note.pitch
