"""Lick: a short melody that is looked for, and where it comes from."""

from dataclasses import dataclass

from melodex.errors import QueryError
from melodex.model.melody import Melody
from melodex.model.metre import FREE_METRE, Metre

FEWEST_NOTES = 2


@dataclass(frozen=True, slots=True, eq=False)
class Lick:
    """A short melody of one voice.

    Raises
    ------
    QueryError
        If it has fewer than two notes.
    """

    melody: Melody
    came_from: str  # what the user gave: a text, a file, or a song and its measures
    metre: Metre = FREE_METRE

    def __post_init__(self) -> None:
        if len(self.melody) < FEWEST_NOTES:
            raise QueryError(
                f"A lick of {len(self.melody)} notes has no shape to look for.",
                "give two notes or more; five or more find less by chance.",
            )
