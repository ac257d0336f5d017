"""Rows below a text tab: right-hand fingers and melody signs."""

from collections.abc import Iterable, Sequence

from melodex.model.tablature import TabNote

MELODY_SIGN = "^"
OTHER_NOTE = "'"  # a note on a higher string that sounds with a melody note
NO_FINGER = "."  # a note whose finger is unknown, struck with others whose fingers are known


def finger_letters(together: Iterable[TabNote]) -> list[str]:
    """Return the fingers of the struck strings, string 1 first, without repetitions of the last."""
    letters = [note.finger or NO_FINGER for note in together if note.is_struck]
    while len(letters) > 1 and letters[-2] == letters[-1]:
        letters.pop()
    return [] if letters == [NO_FINGER] else letters


def melody_signs(together: Sequence[TabNote]) -> list[str]:
    """Return signs for notes that sound together: the melody sign, and one for each note above it.

    Parameters
    ----------
    together : sequence of TabNote
        Notes that sound together, string 1 first; at most one carries the melody.
    """
    place = next((place for place, note in enumerate(together) if note.is_melody), None)
    return [] if place is None else [OTHER_NOTE] * place + [MELODY_SIGN]
