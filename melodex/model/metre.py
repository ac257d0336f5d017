"""Metre: the numbers of a time signature, and its groups of beats."""

from dataclasses import dataclass
from fractions import Fraction

from melodex.errors import MetreError

# No metre counts in values longer than a whole note, and shorter ones have no name in some formats
# (common practice, no source); MusicXML and music21 support up to 128.
DENOMINATORS = (1, 2, 4, 8, 16, 32, 64, 128)
LARGEST_NUMERATOR = 255  # a MIDI metre has one byte for it


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
    groups: tuple[int, ...] = ()  # (2, 3, 2) if 7/8 is written with groups; otherwise empty

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
