"""Songs moved into the keys that are played in open G."""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from melodex._types import Pitches
from melodex.banjo.fretboard import range_of
from melodex.errors import MelodyError
from melodex.features.key_finding import find_key
from melodex.features.skeleton import line_pitches
from melodex.model.chord_names import ROOTS, transposed_chord
from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.model.melody import AttachedNotes
from melodex.model.song import Song
from melodex.model.tuning import OPEN_G

# The keys that are played in open G without a capo, by their sharps, the usual one first. Common
# practice, no source.
POSITIONS = {1: "G", 0: "C", 2: "D"}
_FIFTH = 7  # half-steps
_OCTAVE = 12
_COMFORTABLE = 60  # where the middle of a melody should lie: second string, fret 1
MOST_CAPO = 7  # a capo higher up leaves a child's banjo


class Moved(NamedTuple):
    """A song moved into a key that is played in open G."""

    song: Song
    position: str  # the chord that it is played from
    half_steps: int  # up, by which it was moved


def moved_to_open_g(song: Song) -> list[Moved]:
    """List the ways to play a song in open G: from each chord, in each octave that fits the neck.

    Returns
    -------
    list of Moved
        Its melody line, without chord tones and grace notes, in the key signature of G first; of
        octaves the most comfortable first.

    Raises
    ------
    MelodyError
        If it has no notes, or does not fit the neck in any of these keys.
    """
    pitches = line_pitches(song.melody)
    if not len(pitches):
        raise MelodyError(f"{song.title} has no notes to arrange.", "choose another song.")
    lowest, highest = range_of(OPEN_G)
    bottom, middle, top = int(pitches.min()), float(np.median(pitches)), int(pitches.max())
    sharps = _sharps_of(song)
    ways = [
        (rank, abs(middle + shift - _COMFORTABLE), shift, position)
        for rank, (wanted, position) in enumerate(POSITIONS.items())
        for shift in _shifts((wanted - sharps) * _FIFTH % _OCTAVE)
        if lowest <= bottom + shift and top + shift <= highest
    ]
    if not ways:
        raise MelodyError(
            f"The melody of {song.title} spans {top - bottom} half-steps, more than the neck.",
            "choose another song.",
        )
    return [
        Moved(_moved(song, pitches, half_steps), position, half_steps)
        for *_, half_steps, position in sorted(ways)
    ]


def _moved(song: Song, pitches: Pitches, half_steps: int) -> Song:
    none = AttachedNotes.none()
    return replace(
        song,
        key=_moved_key(song.key, half_steps),
        chords=tuple(
            replace(chord, text=transposed_chord(chord.text, half_steps)) for chord in song.chords
        ),
        melody=replace(
            song.melody,
            pitches=(pitches + half_steps).astype(np.int16),
            chord_tones=none,
            grace_notes=none,
        ),
    )


def _shifts(half_steps: int) -> range:
    """List the shifts that differ by octaves, as far as MIDI's pitches go."""
    octaves = 10
    return range(half_steps - octaves * _OCTAVE, half_steps + octaves * _OCTAVE, _OCTAVE)


def _sharps_of(song: Song) -> int:
    """Return the sharps of a song's signature, flats below 0."""
    if song.key is not None:
        return sum(shift for _, shift in song.key.signature)
    found = find_key(song.melody)
    tonic = ROOTS[found.tonic_pitch_class]
    return sum(shift for _, shift in signature_of(tonic, found.mode))


def _moved_key(key: Key | None, half_steps: int) -> Key | None:
    if key is None or key.tonic_pitch_class is None or key.mode not in SHARPS_OF_MODE:
        return None
    tonic = ROOTS[(key.tonic_pitch_class + half_steps) % 12]
    return Key(tonic, key.mode, signature_of(tonic, key.mode))


def remarks_of(half_steps: int, position: str) -> list[str]:
    """List what was done to a song, a sentence each."""
    remarks: list[str] = []
    if half_steps:
        direction = "up" if half_steps > 0 else "down"
        sentence = f"Moved {direction} by {abs(half_steps)} half-steps to suit open G."
        capo = -half_steps % _OCTAVE
        if 0 < capo <= MOST_CAPO:
            sentence += f" A capo at fret {capo} brings back the key that is written."
        remarks.append(sentence)
    if position != POSITIONS[1]:
        remarks.append(
            f"It is played from the {position} chord: from the G chord it would be harder to play."
        )
    return remarks
