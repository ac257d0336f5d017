"""Metre: how a measure is counted, and how strong each place in it is."""

from dataclasses import dataclass
from fractions import Fraction

COMMON_TIME_DENOMINATORS = (1, 2, 4, 8, 16, 32, 64)


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature; ``numerator`` 0 means free metre ("none")."""

    numerator: int
    denominator: int
    groups: tuple[int, ...] = ()  # (2, 3, 2) where 7/8 is written so; empty where it is not

    @property
    def is_free(self) -> bool:
        """Whether the music is written without a metre."""
        return self.numerator == 0

    @property
    def measure_length(self) -> Fraction:
        """Length of a full measure in quarter notes; 0 in free metre."""
        return Fraction(4 * self.numerator, self.denominator)

    def __str__(self) -> str:
        return "none" if self.is_free else f"{self.numerator}/{self.denominator}"


FREE_METRE = Metre(0, 4)
