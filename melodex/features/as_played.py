"""A tune as played: its notes in order, through every repeat and ending."""

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Measures, NoteNumbers

# Onsets are sums of thirds and sixteenths; notes closer than this begin together. The shortest note
# in use, a 128th in a tuplet, is about ten thousand times as long.
SAME_ONSET = 1e-6  # quarter notes


def played_notes(onsets: Beats, sections: Beats) -> NoteNumbers:
    """Return the indices of a tune's notes in the order played.

    A note belongs to a section if it begins within it: at its start or later, and before its end. A
    note that begins in no section is never played.

    Parameters
    ----------
    onsets : shape (n_notes,), quarter notes
        Onsets of the written notes, ascending.
    sections : shape (n_sections, 2), quarter notes
        Stretches of the written music, (start, end), in the order played.

    Returns
    -------
    shape (n_played,)
        Indices into ``onsets``; a repeated note occurs once for each time it is played.

    Examples
    --------
    >>> played_notes(np.array([0.0, 1.0, 2.0]), np.array([(0.0, 2.0), (0.0, 3.0)])).tolist()
    [0, 1, 0, 1, 2]
    """
    first_notes, note_counts = _notes_of_sections(onsets, sections)
    notes_before = np.cumsum(note_counts) - note_counts
    place_in_performance = np.arange(int(note_counts.sum()))
    written_before: NDArray[np.intp] = np.repeat(first_notes - notes_before, note_counts)
    return (place_in_performance + written_before).astype(np.int32)


def played_onsets(onsets: Beats, sections: Beats) -> Beats:
    """Return when each note is heard, counting all sections played before it.

    Parameters
    ----------
    onsets, sections
        As for ``played_notes``.

    Returns
    -------
    shape (n_played,), quarter notes from the start of the performance
        The onset of each note of ``played_notes``.

    Examples
    --------
    >>> played_onsets(np.array([0.0, 1.0, 2.0]), np.array([(0.0, 2.0), (0.0, 3.0)])).tolist()
    [0.0, 1.0, 2.0, 3.0, 4.0]
    """
    _, note_counts = _notes_of_sections(onsets, sections)
    starts, lengths = sections[:, 0], sections[:, 1] - sections[:, 0]
    heard_from = np.cumsum(lengths) - lengths
    return onsets[played_notes(onsets, sections)] + np.repeat(heard_from - starts, note_counts)


def count_played(onsets: Beats, sections: Beats) -> int:
    """Return the number of notes played; parameters as for ``played_notes``."""
    return int(_notes_of_sections(onsets, sections)[1].sum())


def _notes_of_sections(onsets: Beats, sections: Beats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return each section's first note and its number of notes."""
    first_notes, end_notes = np.searchsorted(onsets, sections.T - SAME_ONSET)
    return first_notes, end_notes - first_notes


def entered(measures: Measures) -> tuple[int, ...]:
    """Return the measures of successive notes as played, without immediate repetitions.

    Examples
    --------
    >>> entered(np.array([7, 7, 8, 1, 1]))
    (7, 8, 1)
    """
    is_new = np.diff(measures, prepend=measures[:1] - 1) != 0
    return tuple(measures[is_new].tolist())
