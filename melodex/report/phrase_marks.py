"""Mark the notes that two melodies have in common in the pictures of both."""

from collections.abc import Iterable, Sequence

from melodex.engraving.engrave_song import PhraseMark
from melodex.model.song import Song

_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def marks_of(
    one: Song,
    other: Song,
    alignment: Sequence[tuple[int, int]],
    *,
    transposition: int,
    letter: str,
) -> tuple[PhraseMark, PhraseMark]:
    """Return marks for the matched notes of two melodies, and for those that differ in pitch.

    Parameters
    ----------
    alignment : pairs of note numbers
        (index in one, index in the other), as written.
    transposition : int
        Half-steps from one to the other, up is positive; a pitch differs if it does after
        transposition.
    """
    differing = [
        (a, b)
        for a, b in alignment
        if other.melody.pitches[b] - one.melody.pitches[a] != transposition
    ]
    return (
        PhraseMark(letter, _sorted(a for a, _ in alignment), frozenset(a for a, _ in differing)),
        PhraseMark(letter, _sorted(b for _, b in alignment), frozenset(b for _, b in differing)),
    )


def phrase_letter(number: int) -> str:
    """Return the letter of a phrase by its index: A to Z, then AA, AB, ...

    Examples
    --------
    >>> phrase_letter(0), phrase_letter(25), phrase_letter(26)
    ('A', 'Z', 'AA')
    """
    before, last = divmod(number, len(_ALPHABET))
    return (phrase_letter(before - 1) if before else "") + _ALPHABET[last]


def _sorted(notes: Iterable[int]) -> tuple[int, ...]:
    return tuple(sorted(set(notes)))
