"""Songs brought to open G: into its key by half-steps and onto the low part of its neck."""

from dataclasses import replace

import numpy as np

from melodex.banjo.chord_names import transposed_chord
from melodex.features.key_finding import find_key
from melodex.features.skeleton import line_pitches
from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.model.melody import AttachedNotes
from melodex.model.song import Song
from melodex.model.tuning import OPEN_G

_SHARPS_OF_G = 1
_FIFTH = 7  # half-steps
_COMFORTABLE = 60  # where the middle of a melody should lie: second string, fret 1
MOST_CAPO = 7  # a capo higher up leaves a child's banjo
_TONICS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def in_open_g(song: Song) -> tuple[Song, list[str]]:
    """Move a song to the key signature of one sharp, which open G's strings belong to.

    Returns
    -------
    Song
        Its melody line, without chord tones and grace notes, moved by half-steps.
    list of str
        What was done to it, a sentence each; nothing where nothing was.
    """
    melody = song.melody
    pitches = line_pitches(melody)
    half_steps = _half_steps_to_g(song)
    middle = float(np.median(pitches)) + half_steps
    half_steps += 12 * round((_COMFORTABLE - middle) / 12)
    while pitches.min() + half_steps < min(OPEN_G.open_strings):
        half_steps += 12
    none = AttachedNotes.none()
    moved = replace(
        song,
        key=_moved_key(song.key, half_steps),
        chords=tuple(
            replace(chord, text=transposed_chord(chord.text, half_steps)) for chord in song.chords
        ),
        melody=replace(
            melody,
            pitches=(pitches + half_steps).astype(np.int16),
            chord_tones=none,
            grace_notes=none,
        ),
    )
    return moved, _told(half_steps)


def _half_steps_to_g(song: Song) -> int:
    """Return how far up, 0 to 11, the song's signature becomes one sharp."""
    if song.key is None:
        found = find_key(song.melody)
        tonic = _TONICS[found.tonic_pitch_class]
        sharps = sum(shift for _, shift in signature_of(tonic, found.mode))
    else:
        sharps = sum(shift for _, shift in song.key.signature)
    return (_SHARPS_OF_G - sharps) * _FIFTH % 12


def _moved_key(key: Key | None, half_steps: int) -> Key | None:
    if key is None or key.tonic_pitch_class is None or key.mode not in SHARPS_OF_MODE:
        return None
    tonic = _TONICS[(key.tonic_pitch_class + half_steps) % 12]
    return Key(tonic, key.mode, signature_of(tonic, key.mode))


def _told(half_steps: int) -> list[str]:
    if not half_steps:
        return []
    direction = "up" if half_steps > 0 else "down"
    sentence = f"Moved {direction} by {abs(half_steps)} half-steps to suit open G."
    capo = -half_steps % 12
    if 0 < capo <= MOST_CAPO:
        sentence += f" A capo at fret {capo} brings back the key that is written."
    return [sentence]
