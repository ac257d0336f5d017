"""Shape: how a melody moves from note to note, without saying by exactly how much."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Move:
    """How a melody goes from one note to the next; None stands for whatever is not said."""

    direction: int  # -1 down, 0 the same pitch, 1 up
    is_step: bool | None = None  # by step or by leap
    is_longer: bool | None = None  # whether the note reached is longer or shorter than the one left


@dataclass(frozen=True, slots=True)
class Shape:
    """The moves of a short melody: one fewer than it has notes."""

    moves: tuple[Move, ...]
