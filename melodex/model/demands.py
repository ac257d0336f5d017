"""What a song demands of its player: techniques of both hands, and how hard each side of it is."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TechniqueUse:
    """A technique, and where a song uses it."""

    technique: str  # as ``features/techniques.py`` names it
    measures: tuple[int, ...]  # as written, ascending; empty where it concerns the whole song


@dataclass(frozen=True, slots=True)
class Hands:
    """What a tab demands of the hands."""

    moves: float  # places newly stopped by the left hand, a measure
    highest_fret: int  # 0: all strings are open
    patterns: int  # different measures of the right hand
    measures: int  # in which it strikes

    @property
    def variety(self) -> float:
        """Which share of the right hand's measures are different ones, 0 to 1."""
        return self.patterns / self.measures if self.measures else 0.0


@dataclass(frozen=True, slots=True)
class Demands:
    """What a song demands of its player; shares are 0 to 1."""

    half_steps: int  # from the lowest to the highest note
    leaps: float  # share of its steps that are wider than a third
    widest_leap: int  # half-steps
    uneven: float  # share of its notes at which the pace changes
    notes_per_second: float
    tempo: float | None  # quarter notes a minute; None: none is stated, and one was assumed
    hands: Hands | None = None  # None: no tab
    uses: tuple[TechniqueUse, ...] | None = None  # None: no tab
