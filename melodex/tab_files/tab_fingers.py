"""What stands under a moment of text tab: the right hand's fingers, and signs for the melody."""

from collections.abc import Iterable, Sequence

from melodex.model.tablature import TabNote

MELODY_SIGN = "^"
OTHER_NOTE = "'"  # of a note that sounds with one of the melody, on a higher string
NO_FINGER = "."  # of a note that is struck with others whose fingers are known


def finger_letters(together: Iterable[TabNote]) -> list[str]:
    """Return the fingers of the struck strings from above, without those that repeat the last."""
    letters = [note.finger or NO_FINGER for note in together if note.is_struck]
    while len(letters) > 1 and letters[-2] == letters[-1]:
        letters.pop()
    return [] if letters == [NO_FINGER] else letters


def melody_signs(together: Sequence[TabNote]) -> list[str]:
    """Return a sign for the note that carries the melody, and strokes for those above it.

    Parameters
    ----------
    together : sequence of TabNote
        What sounds together, string 1 first; at most one of them carries the melody.
    """
    place = next((place for place, note in enumerate(together) if note.is_melody), None)
    return [] if place is None else [OTHER_NOTE] * place + [MELODY_SIGN]
