"""Note values in letters: q for a quarter note, e. for a dotted eighth."""

from fractions import Fraction

import numpy as np

from melodex._types import Beats
from melodex.parsing.lick_text import NOTE_VALUES

_FINEST = 96  # parts of a quarter note; distinguishes all note values in use, including tuplets
_LETTERS = {
    Fraction(value) * (2 - Fraction(1, 2**dots)): letter + "." * dots
    for letter, value in NOTE_VALUES.items()
    for dots in (0, 1, 2)
}


def note_value_in_letters(quarter_notes: float) -> str:
    """Return a note value in the form that ``lick_from_names`` reads.

    Returns
    -------
    str
        w h q e s t for whole to thirty-second, with dots; other values are numbers of quarter
        notes, such as 1/3 for an eighth in a triplet.

    Examples
    --------
    >>> [note_value_in_letters(value) for value in (0.5, 1.5, 1 / 3, 1.25)]
    ['e', 'q.', '1/3', '5/4']
    """
    value = Fraction(quarter_notes).limit_denominator(_FINEST)
    return _LETTERS.get(value) or str(value)


def rhythm_in_letters(onsets: Beats, durations: Beats) -> tuple[str, ...]:
    """Return the rhythm of a line: the time from each note to the next.

    A rest belongs to the note before it, since a plucked string rings on; the last note has its own
    length.
    """
    steps = np.append(np.diff(onsets), durations[-1:])
    return tuple(map(note_value_in_letters, steps.tolist()))
