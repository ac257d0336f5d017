"""The letters of the right hand's fingers under a moment of text tab."""

from collections.abc import Iterable

from melodex.model.tablature import TabNote

NO_FINGER = "."  # of a note that is struck with others whose fingers are known


def finger_letters(together: Iterable[TabNote]) -> list[str]:
    """Return the fingers of the struck strings from above, without those that repeat the last."""
    letters = [note.finger or NO_FINGER for note in together if note.is_struck]
    while len(letters) > 1 and letters[-2] == letters[-1]:
        letters.pop()
    return [] if letters == [NO_FINGER] else letters
