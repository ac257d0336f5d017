"""Songs moved into the keys that are played in open G."""

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

# The sharps of the keys that are played in open G without a capo: those of G, C and D major. Common
# practice, no source.
_SIGNATURES = (1, 0, 2)
_USUAL_TONIC = "G"
_MINOR_MODES = ("minor", "dorian", "phrygian", "locrian")
_FIFTH = 7  # half-steps
_OCTAVE = 12
_COMFORTABLE = 60  # where the middle of a melody should lie: second string, fret 1
MOST_CAPO = 7  # a capo higher up leaves a child's banjo


class Moved(NamedTuple):
    """A song moved into a key that is played in open G."""

    song: Song
    position: str  # the tonic's chord, from which it is played: "G", "Am"
    half_steps: int  # up, by which it was moved

    @property
    def is_usual(self) -> bool:
        """Whether it is played from the open strings' own chord."""
        return self.position.removesuffix("m") == _USUAL_TONIC


def moved_to_open_g(song: Song) -> list[Moved]:
    """List the ways to play a song in open G: in each signature and octave that fits the neck.

    Returns
    -------
    list of Moved
        Its melody line, without chord tones and grace notes: with the tonic G first, and of
        others the most comfortable octaves first.

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
    """List the shifts that differ by octaves, as far as MIDI's pitches go."""
    octaves = 10
    return range(half_steps - octaves * _OCTAVE, half_steps + octaves * _OCTAVE, _OCTAVE)


def _key_of(song: Song) -> tuple[int, str, int]:
    """Return a song's tonic, 0 for C, its mode, and the sharps of its signature, flats below 0."""
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
    """List what was done to a song, a sentence each.

    Parameters
    ----------
    ways : iterable of Moved
        All from which it was chosen.
    """
    remarks: list[str] = []
    if chosen.half_steps:
        direction = "up" if chosen.half_steps > 0 else "down"
        sentence = f"Moved {direction} by {abs(chosen.half_steps)} half-steps to suit open G."
        capo = -chosen.half_steps % _OCTAVE
        if 0 < capo <= MOST_CAPO:
            sentence += f" A capo at fret {capo} brings back the key that is written."
        remarks.append(sentence)
    usual = next((way.position for way in ways if way.is_usual), None)
    if usual and not chosen.is_usual:
        remarks.append(
            f"It is played from the {chosen.position} chord: from the {usual} chord it would be "
            "harder to play."
        )
    return remarks
