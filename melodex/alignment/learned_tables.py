"""The log-odds of the pair hidden Markov model, learned from versions of one tune.

``tests/benchmarks/learn_tables.py`` writes them; the JSON file names the data they come from.
"""

import functools
import json
from dataclasses import dataclass
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray

TABLES_FILE = "learned_tables.json"
BEAT_CLASSES = 5  # strengths 1/16 and less, 1/8, 1/4, 1/2, 1
UNKNOWN_BEAT = BEAT_CLASSES  # the class of notes in free metre
PLACE_CLASSES = 5  # of a roll's notes: 1/8 and less, 1/4, 1/2, 1, 2 and more; see place_classes
UNKNOWN_PLACE = PLACE_CLASSES


@dataclass(frozen=True, slots=True, eq=False)
class LearnedTables:
    """Natural log-odds of versions of one tune against unrelated melodies."""

    pitch: NDArray[np.float64]  # shape (14,), by distance in half-steps: 0 to 12, then more
    beat: NDArray[np.float64]  # shape (BEAT_CLASSES, BEAT_CLASSES), symmetric
    duration: NDArray[np.float64]  # shape (5,), by half octaves of the ratio: 0 to 3, then more
    # Shape (2, 2), symmetric, by whether each note is in the scale of its key or outside it.
    scale: NDArray[np.float64]
    split: float  # one note matched with two of its pitch, or two with one
    gap_open: NDArray[np.float64]  # shape (BEAT_CLASSES,), the first note of a gap
    gap_open_off_beat: float  # the same in forms that do not compare beats
    gap_extend: float  # each further note
    # Not a logarithm: the share of filler among a roll's notes, by whether they may carry the
    # melody (features/skeleton.py) and by beat; shape (2, BEAT_CLASSES).
    filler: NDArray[np.float64]
    # The same where the other melody says how long the note before it lasts, by ``place_classes``
    # instead of beats; shape (2, PLACE_CLASSES).
    filler_after: NDArray[np.float64]
    tonics_meet: float  # not a logarithm: the share of versions whose tonics agree
    degrees: NDArray[np.float64]  # shape (2, 12), the notes of a key by mode, tonic first

    @property
    def beat_alone(self) -> NDArray[np.float64]:
        """The beat table for forms that do not compare durations.

        ``beat`` is halved, since beats and durations depend on each other; alone, beats count in
        full, but at most as much as beat and duration together.
        """
        both = self.beat[0, 0] + self.duration[0]
        alone: NDArray[np.float64] = np.minimum(2 * self.beat, both)
        return alone

    @property
    def of_same_note(self) -> float:
        """The score of a note with itself, on a known beat and in no known key."""
        return float(self.pitch[0] + self.beat[0, 0] + self.duration[0])

    def of_notes(self, strengths: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return the scores of notes with themselves, by beat strength; shape as given."""
        return self.of_same_note - np.where(strengths > 0, 0.0, self.beat[0, 0])

    def of_scales(self, one: NDArray[np.int8], other: NDArray[np.int8]) -> NDArray[np.float64]:
        """Return the scores of pairs of notes by their scale classes; broadcast.

        A pair with a note in no known key scores 0.
        """
        scores: NDArray[np.float64] = np.pad(self.scale, (0, 1))[one, other]
        return scores


@functools.cache
def learned_tables() -> LearnedTables:
    """Read the package's tables, whose values are multiples of the kernels' unit."""
    text = resources.files("melodex.alignment").joinpath(TABLES_FILE).read_text(encoding="utf-8")
    tables = json.loads(text)["tables"]
    arrays: dict[str, Any] = {
        name: value if isinstance(value, float) else np.array(value)
        for name, value in tables.items()
    }
    return LearnedTables(**arrays)


def beat_classes(strengths: NDArray[np.floating]) -> NDArray[np.intp]:
    """Return the classes of beat strengths, by powers of two, the weakest 0; shape as given.

    Strength 0 is ``UNKNOWN_BEAT``.
    """
    is_known = strengths > 0
    steps = np.rint(np.log2(np.where(is_known, strengths, 1))).astype(np.intp) + BEAT_CLASSES - 1
    return np.where(is_known, np.clip(steps, 0, BEAT_CLASSES - 1), UNKNOWN_BEAT)


def place_classes(
    strengths: NDArray[np.floating], shares: NDArray[np.floating]
) -> NDArray[np.intp]:
    """Sort notes of a roll by whether they fall within a note of the melody, or after its end.

    A note that lasts a quarter of its measure contains beats of strength 1/8 and less, and the next
    note falls on 1/4 or more; after a dotted note it may fall on a weaker beat.

    Parameters
    ----------
    strengths : beat strengths of the roll's notes
    shares : how much of a measure the melody's note lasts; broadcast with them

    Returns
    -------
    Classes by powers of two of strength by share; ``UNKNOWN_PLACE`` where either is 0.
    """
    strengths, shares = np.broadcast_arrays(strengths, shares)
    is_known = (strengths > 0) & (shares > 0)
    ratios = np.where(is_known, strengths, 1) / np.where(is_known, shares, 1)
    steps = np.rint(np.log2(ratios)).astype(np.intp) + PLACE_CLASSES - 2
    return np.where(is_known, np.clip(steps, 0, PLACE_CLASSES - 1), UNKNOWN_PLACE)


def duration_steps(log_ratios: NDArray[np.floating]) -> NDArray[np.intp]:
    """Return log2 ratios of durations in half octaves, from 0 to 4; shape as given."""
    steps: NDArray[np.intp] = np.minimum((2 * np.abs(log_ratios) + 0.5).astype(np.intp), 4)
    return steps
