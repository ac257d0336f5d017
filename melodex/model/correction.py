"""Correction: what a teacher says is right of a song that was misread."""

from dataclasses import dataclass, fields, replace

from melodex.model.key import Key
from melodex.model.metre import Metre


@dataclass(frozen=True, slots=True)
class Correction:
    """What is right of a song; None for what was read rightly."""

    title: str | None = None
    key: Key | None = None
    metre: Metre | None = None  # throughout
    pickup: float | None = None  # quarter notes before the first full measure; 0 for none

    @property
    def corrected(self) -> tuple[str, ...]:
        """The names of the fields that are corrected."""
        return tuple(each.name for each in fields(self) if getattr(self, each.name) is not None)

    def followed_by(self, later: "Correction") -> "Correction":
        """Return both corrections as one; where both correct something the later one counts."""
        return replace(self, **{name: getattr(later, name) for name in later.corrected})
