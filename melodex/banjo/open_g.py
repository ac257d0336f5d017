"""Transpose songs into the keys that are played in open G."""

from collections.abc import Iterable
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

# Sharps in the signatures that are played in open G without a capo: those of G, C and D major.
# Common practice, no source.
_SIGNATURES = (1, 0, 2)
_USUAL_TONIC = "G"
_MINOR_MODES = ("minor", "dorian", "phrygian", "locrian")
_FIFTH = 7  # half-steps
_OCTAVE = 12
_COMFORTABLE = 60  # best pitch for the middle of a melody: second string, fret 1
MOST_CAPO = 7  # a higher capo would leave very little neck


class Moved(NamedTuple):
    """A song transposed into a key that is played in open G."""

    song: Song
    position: str  # the tonic chord, from which it is played: "G", "Am"
    half_steps: int  # transposition, up is positive

    @property
    def is_usual(self) -> bool:
        """Whether it is played from the chord of the open strings."""
        return self.position.removesuffix("m") == _USUAL_TONIC


def moved_to_open_g(song: Song) -> list[Moved]:
    """Return the ways to play a song in open G: each signature and octave that fits the neck.

    Returns
    -------
    list of Moved
        Its melody, without chord tones and grace notes: first with tonic G, then by comfort of the
        octave.

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
    tonic, mode, sharps = _key_of(song)
    ways = [
        (abs(middle + shift - _COMFORTABLE), Moved(song, _chord(tonic + shift, mode), shift))
        for wanted in _SIGNATURES
        for shift in _shifts((wanted - sharps) * _FIFTH % _OCTAVE)
        if lowest <= bottom + shift and top + shift <= highest
    ]
    if not ways:
        raise MelodyError(
            f"The melody of {song.title} spans {top - bottom} half-steps, more than the neck.",
            "choose another song.",
        )
    ways.sort(key=lambda way: (not way[1].is_usual, way[0]))
    return [way._replace(song=_moved(song, pitches, way.half_steps)) for _, way in ways]


def _chord(tonic: int, mode: str) -> str:
    return ROOTS[tonic % _OCTAVE] + "m" * (mode in _MINOR_MODES)


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
    """Return shifts that differ by octaves, within MIDI's range."""
    octaves = 10
    return range(half_steps - octaves * _OCTAVE, half_steps + octaves * _OCTAVE, _OCTAVE)


def _key_of(song: Song) -> tuple[int, str, int]:
    """Return a song's tonic, 0 for C, its mode, and its sharps (flats are negative)."""
    key = song.key
    if key is None:
        found = find_key(song.melody)
        return found.tonic_pitch_class, found.mode, _sharps(found.tonic_pitch_class, found.mode)
    sharps = sum(shift for _, shift in key.signature)
    tonic = key.tonic_pitch_class
    return (
        (sharps * _FIFTH % _OCTAVE, "major", sharps) if tonic is None else (tonic, key.mode, sharps)
    )


def _sharps(tonic: int, mode: str) -> int:
    return sum(shift for _, shift in signature_of(ROOTS[tonic], mode))


def _moved_key(key: Key | None, half_steps: int) -> Key | None:
    if key is None or key.tonic_pitch_class is None or key.mode not in SHARPS_OF_MODE:
        return None
    tonic = ROOTS[(key.tonic_pitch_class + half_steps) % 12]
    return Key(tonic, key.mode, signature_of(tonic, key.mode))


def remarks_of(chosen: Moved, ways: Iterable[Moved]) -> list[str]:
    """Return sentences on how a song was transposed.

    Parameters
    ----------
    ways : iterable of Moved
        All ways from which it was chosen.
    """
    remarks: list[str] = []
    if chosen.half_steps:
        direction = "up" if chosen.half_steps > 0 else "down"
        sentence = f"Moved {direction} by {abs(chosen.half_steps)} half-steps to suit open G."
        capo = -chosen.half_steps % _OCTAVE
        if 0 < capo <= MOST_CAPO:
            sentence += f" A capo at fret {capo} restores the written key."
        remarks.append(sentence)
    usual = next((way.position for way in ways if way.is_usual), None)
    if usual and not chosen.is_usual:
        remarks.append(
            f"It is played from the {chosen.position} chord: from the {usual} chord it would be "
            "harder to play."
        )
    return remarks
