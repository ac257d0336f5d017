"""What a song demands of its player: techniques of both hands, and measures of difficulty."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TechniqueUse:
    """A technique, and the measures in which a song uses it."""

    technique: str  # a name from ``features/playing/techniques.py``
    measures: tuple[int, ...]  # as written, ascending; empty if it applies to the whole song


@dataclass(frozen=True, slots=True)
class HandDemands:
    """Demands of a tab on the hands."""

    moves: float  # positions newly stopped by the left hand, per measure
    highest_fret: int  # 0: all strings are open
    patterns: int  # different measures of the right hand
    measures: int  # measures in which the right hand strikes

    @property
    def variety(self) -> float:
        """The share of different patterns among the right hand's measures, 0 to 1."""
        return self.patterns / self.measures if self.measures else 0.0


@dataclass(frozen=True, slots=True)
class Demands:
    """Demands of a song on its player; shares are 0 to 1."""

    half_steps: int  # from the lowest to the highest note
    leaps: float  # share of intervals wider than a third
    widest_leap: int  # half-steps
    uneven: float  # share of notes at which the pace changes
    notes_per_second: float
    tempo: float | None  # quarter notes a minute; None: not stated, so one was assumed
    hands: HandDemands | None = None  # None: no tab
    uses: tuple[TechniqueUse, ...] | None = None  # None: no tab
