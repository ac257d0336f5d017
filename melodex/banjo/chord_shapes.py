"""Chords that a beginner's left hand holds in open G, and which one a measure wants."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from melodex.features.key_finding import pitch_class_weights
from melodex.model.song import ChordSymbol, Song
from melodex.parsing.measures import ROUNDING

_CHORD = re.compile(r"([A-G])([#b]?)(m(?!aj)|)(.*)")


@dataclass(frozen=True, slots=True)
class ChordShape:
    """A chord under the left hand."""

    name: str
    frets: tuple[int, int, int, int]  # of strings 1 to 4
    pitch_classes: frozenset[int]


# Common practice, no source.
SHAPES = (
    ChordShape("G", (0, 0, 0, 0), frozenset({7, 11, 2})),
    ChordShape("C", (2, 1, 0, 2), frozenset({0, 4, 7})),
    ChordShape("D", (0, 1, 2, 0), frozenset({2, 6, 9, 0})),
    ChordShape("Em", (2, 0, 0, 2), frozenset({4, 7, 11})),
    ChordShape("Am", (2, 1, 2, 2), frozenset({9, 0, 4})),
    ChordShape("F", (3, 1, 2, 3), frozenset({5, 9, 0})),
    ChordShape("A", (2, 2, 2, 2), frozenset({9, 1, 4})),
)
_USUAL = 5  # shapes from the first on that are tried where no chord is stated
_OF_NAME = {shape.name: shape for shape in SHAPES}


def shape_at(song: Song, onset: float, end: float) -> ChordShape:
    """Choose the shape for a stretch: the chord stated there, else the one its notes fit best.

    A stated chord that no shape is known for is judged by the notes as well; of equal fits the
    first shape is chosen, G.
    """
    stated = _stated(song.chords, onset)
    if stated in _OF_NAME:
        return _OF_NAME[stated]
    melody = song.melody
    here = (melody.onsets >= onset - ROUNDING) & (melody.onsets < end - ROUNDING)
    weights = pitch_class_weights(melody.pitches[here], melody.durations[here])
    fits = [sum(weights[list(shape.pitch_classes)]) for shape in SHAPES[:_USUAL]]
    return SHAPES[int(np.argmax(fits))]


def _stated(chords: Sequence[ChordSymbol], onset: float) -> str:
    """Return root and third of the chord that holds at an onset: "D" of "D7/A"."""
    held = [chord.text for chord in chords if chord.onset <= onset + ROUNDING]
    match = _CHORD.match(held[-1]) if held else None
    return "" if match is None else "".join(match.groups()[:3])
