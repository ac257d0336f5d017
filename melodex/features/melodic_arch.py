"""Melodic arch: the overall shape of a phrase."""

import numpy as np

from melodex._types import Pitches
from melodex.errors import MelodyError
from melodex.model.melody import Melody

FEWEST_NOTES = 3  # first, last, and at least one between

# By the direction from the first note to the mean of the middle, and from there to the last.
# Source: Huron, "The melodic arch in Western folksongs", Computing in Musicology 10 (1996) 3-23.
ARCH_OF_DIRECTIONS = {
    (1, -1): "convex",
    (-1, 1): "concave",
    (1, 1): "ascending",
    (-1, -1): "descending",
    (0, 0): "horizontal",
    (0, 1): "horizontal-ascending",
    (0, -1): "horizontal-descending",
    (1, 0): "ascending-horizontal",
    (-1, 0): "descending-horizontal",
}


def phrase_arch(pitches: Pitches) -> str:
    """Return the shape of a phrase from its first note, the mean of its middle, and its last note.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers
        The notes of one phrase.

    Returns
    -------
    str
        A value of ``ARCH_OF_DIRECTIONS``.

    Raises
    ------
    MelodyError
        If the phrase has fewer than three notes.

    Source
    ------
    Huron, "The melodic arch in Western folksongs", Computing in Musicology 10 (1996) 3-23.

    Examples
    --------
    >>> phrase_arch(np.array([60, 64, 67, 62, 60], dtype=np.int16))
    'convex'
    """
    if len(pitches) < FEWEST_NOTES:
        raise MelodyError(
            f"A phrase of {len(pitches)} notes has no shape.",
            f"give a phrase of {FEWEST_NOTES} notes or more.",
        )
    first, last = int(pitches[0]), int(pitches[-1])
    # Comparing sums instead of means keeps the comparison exact.
    middle_sum, middle_count = int(pitches[1:-1].sum()), len(pitches) - 2
    arrival = int(np.sign(middle_sum - first * middle_count))
    departure = int(np.sign(last * middle_count - middle_sum))
    return ARCH_OF_DIRECTIONS[arrival, departure]


def phrase_pitches(melody: Melody) -> list[Pitches]:
    """Divide a melody at the phrase ends marked in its source.

    Notes after the last mark are a phrase of their own; a melody without marks is one phrase.

    Returns
    -------
    list of arrays
        The pitches of each phrase, none of them empty.
    """
    phrases = np.split(melody.pitches, melody.phrase_ends + 1)
    return [phrase for phrase in phrases if len(phrase)]
