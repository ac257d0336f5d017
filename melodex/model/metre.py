"""Metre: how a measure is counted, and how strong each place in it is."""

from dataclasses import dataclass
from fractions import Fraction

from melodex.errors import MetreError

# No note value longer than a whole note counts a metre, none shorter has a name in every format
# (common practice, no source); MusicXML and music21 go as far as 128.
DENOMINATORS = (1, 2, 4, 8, 16, 32, 64, 128)
LARGEST_NUMERATOR = 255  # the numerator of a MIDI metre is one byte


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature; ``numerator`` 0 means free metre ("none").

    Raises
    ------
    MetreError
        If it has more than 255 beats, a denominator that is not 1, 2, 4, ... 128, or groups that
        do not add up to the numerator.
    """

    numerator: int
    denominator: int
    groups: tuple[int, ...] = ()  # (2, 3, 2) where 7/8 is written so; empty where it is not

    def __post_init__(self) -> None:
        if not 0 <= self.numerator <= LARGEST_NUMERATOR or self.denominator not in DENOMINATORS:
            raise MetreError(
                f"{self.numerator}/{self.denominator} is not a metre.",
                f"write 1 to {LARGEST_NUMERATOR} above, and {DENOMINATORS[0]}, 2, 4, ... or "
                f"{DENOMINATORS[-1]} below: 6/8.",
            )
        if self.groups and (min(self.groups) < 1 or sum(self.groups) != self.numerator):
            raise MetreError(
                f"The groups {'+'.join(map(str, self.groups))} do not make a metre of {self}.",
                "give groups of 1 or more that add up to the upper number: 2+3 for 5/8.",
            )

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
