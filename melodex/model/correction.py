"""Correction: facts of a misread song, as a teacher states them."""

from dataclasses import dataclass, fields, replace

from melodex.model.key import Key
from melodex.model.metre import Metre


@dataclass(frozen=True, slots=True)
class Correction:
    """The correct facts of a song; None for those that were read correctly."""

    title: str | None = None
    key: Key | None = None
    metre: Metre | None = None  # of the whole song
    pickup: float | None = None  # quarter notes before the first full measure; 0 for none

    @property
    def corrected(self) -> tuple[str, ...]:
        """The names of the fields that are corrected."""
        return tuple(each.name for each in fields(self) if getattr(self, each.name) is not None)

    def followed_by(self, later: "Correction") -> "Correction":
        """Return both corrections combined; the later one takes precedence."""
        return replace(self, **{name: getattr(later, name) for name in later.corrected})
