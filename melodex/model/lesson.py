"""Lesson plans: songs in learning order, what limits the order, and why each song stands there."""

from dataclasses import dataclass, field

Span = tuple[int, int]
"""First and last measure, as written."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What no plan may break; ``plan_lessons`` takes songs by id or unambiguous part of a title.

    Parameters
    ----------
    lessons : int or None
        Choose so many songs; None takes all.
    level_step : float or None
        The most by which the level may go up from one lesson to the next.
    most_new : int or None
        The most measures of new material in a lesson.
    must_come : tuple of str
        Songs that have to be chosen.
    before : tuple of (str, str)
        Pairs of songs; the first comes earlier where both come.
    first, last : str or None
        The songs of the first and of the last lesson.
    kept : tuple of (int, str)
        Lessons, from 1, and the songs that stay there.

    Examples
    --------
    >>> Limits(lessons=10, level_step=1, must_come=("weir-in-spate",)).most_new is None
    True
    """

    lessons: int | None = None  # choose that many songs; None takes all
    level_step: float | None = None  # the level goes up by at most this from lesson to lesson
    most_new: int | None = None  # measures of new material in a lesson
    must_come: tuple[str, ...] = ()
    before: tuple[tuple[str, str], ...] = ()  # the first comes earlier, where both come
    first: str | None = None
    last: str | None = None
    kept: tuple[tuple[int, str], ...] = ()  # (lesson, from 1, song): this song in this lesson

    @property
    def asked_for(self) -> frozenset[str]:
        """The songs that have to come."""
        kept = (song for _, song in self.kept)
        ends = (song for song in (self.first, self.last) if song is not None)
        return frozenset((*self.must_come, *kept, *ends))


NO_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Reason:
    """A lick of a song, or its single measures, and whether it is new."""

    lick: str | None  # None: the song's new single measures
    state: str  # "new", "back" (from an earlier lesson) or "known" (before the first lesson)
    measures: tuple[Span, ...]  # where it stands in this song
    from_lesson: int | None = None  # the latest that had it
    from_song: str | None = None
    from_measures: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Lesson:
    """One song of a plan; material is counted in measures."""

    lesson: int  # from 1
    song: str
    title: str
    level: float | None
    reused: int  # known from earlier lessons, or before the first
    reused_from_last: int  # the part of it that the lesson just before had
    new: int
    because: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """One aim, in order of importance: the value reached, and the best that is possible."""

    aim: str
    value: int
    bound: int  # no plan within the limits and with the aims before can be better

    @property
    def optimal(self) -> bool:
        """Whether nothing better is possible."""
        return self.value == self.bound


@dataclass(frozen=True, slots=True)
class LessonPlan:
    """A lesson sequence, and how good it is."""

    lessons: tuple[Lesson, ...]
    stages: tuple[Stage, ...]
    limits: Limits
    stopped_by_clock: bool = False  # a machine of another speed may find another plan
    broken: tuple[str, ...] = ()  # limits that a plan edited by hand breaks, in words
    optimal: bool = field(init=False)  # every aim, with every limit kept

    def __post_init__(self) -> None:
        proved = all(stage.optimal for stage in self.stages)
        object.__setattr__(self, "optimal", proved and not self.broken)
