"""Warn of queries so short that even a perfect match proves little."""

from melodex.model.shape import is_weak_shape
from melodex.significance.chance import is_weak_evidence


def weak_lick_in_words(n_notes: int) -> str:
    """Return a warning about a lick that is too short to prove much; an empty text for others.

    Examples
    --------
    >>> weak_lick_in_words(5)
    '5 notes are weak evidence: many songs contain them by coincidence. Search for six or more.'
    >>> weak_lick_in_words(6)
    ''
    """
    return _sentence(n_notes, "note") if is_weak_evidence(n_notes) else ""


def weak_shape_in_words(n_moves: int) -> str:
    """Return a warning about a shape that is too short to prove much; an empty text for others.

    Examples
    --------
    >>> weak_shape_in_words(1)
    '1 move is weak evidence: many songs contain it by coincidence. Search for six or more.'
    >>> weak_shape_in_words(6)
    ''
    """
    return _sentence(n_moves, "move") if is_weak_shape(n_moves) else ""


def _sentence(number: int, what: str) -> str:
    counted, them = (f"1 {what} is", "it") if number == 1 else (f"{number} {what}s are", "them")
    return (
        f"{counted} weak evidence: many songs contain {them} by coincidence. "
        "Search for six or more."
    )
