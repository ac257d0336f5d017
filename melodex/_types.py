"""Array types, each named for what it holds."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Pitches: TypeAlias = NDArray[np.int16]
"""MIDI note numbers, 60 = middle C."""

Beats: TypeAlias = NDArray[np.float64]
"""Points in time or lengths of time, in quarter notes."""

Measures: TypeAlias = NDArray[np.int32]
"""Measure numbers as written; a pickup is measure 0."""

Strengths: TypeAlias = NDArray[np.float64]
"""Metrical weight of a note's onset, above 0 and at most 1 (the downbeat)."""

Strings: TypeAlias = NDArray[np.int8]
"""Banjo or guitar strings, 1 = the highest full-length one; 0 = unknown."""

Frets: TypeAlias = NDArray[np.int8]
"""Frets as tab numbers them, 0 = open; -1 = unknown."""

NoteNumbers: TypeAlias = NDArray[np.int32]
"""Indices of notes in a melody, from 0."""

Intervals: TypeAlias = NDArray[np.int16]
"""Half-steps from each note to the next, up is positive."""
