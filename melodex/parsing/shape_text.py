"""Parse a melodic shape written in words: "step up, leap up, same, step down"."""

import re

from melodex.errors import QueryError
from melodex.model.shape import Move, Shape

MOST_MOVES = 64  # more than anyone remembers of a lick
_MOVE = re.compile(r"(?:(?:(step|leap) )?(up|down)|same)(?: (long|short))?")
_DIRECTIONS = {"up": 1, "down": -1, None: 0}
_NEXT = (
    "write moves between commas: up, down, same, step up, step down, leap up or leap down, each "
    "with long or short behind it if the note reached is longer or shorter than the one before."
)


def shape_from_text(text: str) -> Shape:
    """Parse a shape written in words.

    Parameters
    ----------
    text : str
        Moves separated by commas, each ``same``, ``up`` or ``down``; the last two may follow
        ``step`` or ``leap``. ``long`` or ``short`` may come after them: the note reached is longer
        or shorter than the one before.

    Raises
    ------
    QueryError
        If a move is none of these, or there are no moves or more than ``MOST_MOVES``.

    Examples
    --------
    >>> [move.direction for move in shape_from_text("step up, leap up long, same, down").moves]
    [1, 1, 0, -1]
    """
    words = [" ".join(part.lower().split()) for part in text.split(",")]
    if len(words) > MOST_MOVES:
        raise QueryError(
            f"The shape has {len(words)} moves, but at most {MOST_MOVES} are allowed.",
            "search for a part of it.",
        )
    return Shape(tuple(_move(number, word) for number, word in enumerate(words, start=1)))


def _move(number: int, words: str) -> Move:
    match = _MOVE.fullmatch(words)
    if match is None:
        problem = f"Move {number} of the shape, {words[:40]!r}, is not a move." if words else None
        raise QueryError(problem or f"Move {number} of the shape is missing.", _NEXT)
    size, direction, length = match.groups()
    return Move(
        direction=_DIRECTIONS[direction],
        is_step=None if size is None else size == "step",
        is_longer=None if length is None else length == "long",
    )
