"""Lesson plans: songs in learning order, what limits the order, and why each song stands there."""

import datetime
from dataclasses import dataclass, field, replace

from melodex.errors import QueryError
from melodex.model.limit_checks import as_pairs, check_number, check_songs, refuse_both
from melodex.model.weekly_dates import as_date, weekly_date

Span = tuple[int, int]
"""First and last measure, as written."""

# What a plan is to reach, in this order.
KNOWN_AIM = "share of each song that is known already"
LAST_AIM = "share of each song that the lesson just before teaches"
PEAK_AIM = "new material in the lesson with the most"


@dataclass(frozen=True, slots=True)
class Limits:
    """What no plan may break; ``plan_lessons`` takes songs by id or unambiguous part of a title.

    Parameters
    ----------
    lessons : int or None
        Choose so many songs; None takes all.
    level_step : float or None
        The most by which the level may go up from one lesson to the next.
    most_new : float or None
        The most new material in a lesson, in quarter notes.
    must_come, must_not_come : tuple of str
        Songs that have to be chosen, and songs that are left out.
    before : tuple of (str, str)
        Pairs of songs; the first comes earlier where both come.
    first, last : str or None
        The songs of the first and of the last lesson.
    kept : tuple of (int, str)
        Lessons, from 1, and the songs that stay there.
    review_every : int or None
        Every n-th lesson, 2 or more, reviews the songs since the last review and has none of its
        own; ``lessons`` counts it.
    in_turn : tuple of str
        Tags or other facts that were described of songs, such as themes: the first lesson's song
        has the first of them, the second the second, and so on, then the first again.
    first_date : date, str or None
        The day of the first lesson, "2027-01-11"; the others follow weekly.
    skip : tuple of date or str
        Days in whose weeks, Monday to Sunday, there is no lesson.

    Raises
    ------
    QueryError
        If a limit is not possible, such as fewer than 1 lesson.

    Examples
    --------
    >>> Limits(lessons=10, level_step=1, must_come=("weir-in-spate",)).most_new is None
    True
    """

    lessons: int | None = None  # choose that many songs; None takes all
    level_step: float | None = None  # the level goes up by at most this from lesson to lesson
    most_new: float | None = None  # new material in a lesson, in quarter notes
    must_come: tuple[str, ...] = ()
    must_not_come: tuple[str, ...] = ()
    before: tuple[tuple[str, str], ...] = ()  # the first comes earlier, where both come
    first: str | None = None
    last: str | None = None
    kept: tuple[tuple[int, str], ...] = ()  # (lesson, from 1, song): this song in this lesson
    review_every: int | None = None  # every n-th lesson is a review
    in_turn: tuple[str, ...] = ()  # what the lessons' songs are one after the other, by their facts
    first_date: datetime.date | None = None  # the others follow weekly
    skip: tuple[datetime.date, ...] = ()  # in their weeks there is no lesson

    def __post_init__(self) -> None:
        for name in ("must_come", "must_not_come", "in_turn", "skip"):
            given = getattr(self, name)  # one may be given by itself
            listed = (given,) if isinstance(given, str | datetime.date) else (*given,)
            object.__setattr__(self, name, listed)
        self._read_dates()
        object.__setattr__(self, "before", as_pairs("before", self.before))
        object.__setattr__(self, "kept", as_pairs("kept", self.kept))
        check_number("lessons", self.lessons, lowest=1)
        check_number("level_step", self.level_step, whole=False)
        check_number("most_new", self.most_new, whole=False)
        check_number("review_every", self.review_every, lowest=2)
        for lesson, _ in self.kept:
            check_number("kept", lesson, lowest=1)
        pairs = (song for pair in self.before for song in pair)
        check_songs((*self.asked_for, *self.must_not_come, *pairs))
        refuse_both(self.asked_for, self.must_not_come)

    def _read_dates(self) -> None:
        if self.first_date is not None:
            object.__setattr__(self, "first_date", as_date("first_date", self.first_date))
        elif self.skip:
            raise QueryError(
                "Weeks without a lesson are given, but not when the first lesson is.",
                "give the date of the first lesson as well.",
            )
        skipped = tuple(as_date("skip", day) for day in self.skip)
        object.__setattr__(self, "skip", skipped)

    def date_of(self, lesson: int) -> datetime.date | None:
        """Return the day of a lesson, from 1; None where the lessons have no dates."""
        return None if self.first_date is None else weekly_date(self.first_date, self.skip, lesson)

    @property
    def asked_for(self) -> frozenset[str]:
        """The songs that have to come."""
        kept = (song for _, song in self.kept)
        ends = (song for song in (self.first, self.last) if song is not None)
        return frozenset((*self.must_come, *kept, *ends))

    def lesson_of(self, place: int) -> int:
        """Return the lesson, from 1, of the song at a place, from 0; reviews come in between.

        Examples
        --------
        >>> [Limits(review_every=3).lesson_of(place) for place in range(4)]
        [1, 2, 4, 5]
        """
        reviews = place // (self.review_every - 1) if self.review_every else 0
        return place + reviews + 1

    def lessons_for(self, songs: int) -> int:
        """Return how many lessons so many songs make, with the reviews."""
        return songs + (songs // (self.review_every - 1) if self.review_every else 0)

    def songs_in(self, lessons: int) -> int:
        """Return how many songs so many lessons have, without the reviews."""
        return lessons - (lessons // self.review_every if self.review_every else 0)


NO_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Reason:
    """What some measures of a song are to the student, by the lick that they are, if any."""

    lick: str | None  # None: they are no lick that has a name
    state: str  # "new", "back" (from an earlier lesson) or "known" (before the first lesson)
    measures: tuple[Span, ...]  # where it stands in this song; part of a measure may be enough
    from_lesson: int | None = None  # the latest that had it
    from_song: str | None = None
    from_measures: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Lesson:
    """One song of a plan; material is counted by the time that it takes up."""

    lesson: int  # from 1
    song: str
    title: str
    level: float | None
    share: float  # of the song's time, 0 to 1: known from earlier lessons, or before the first
    share_from_last: float  # of the song's time: what the lesson just before teaches
    reused: float  # known time, in quarter notes
    new: float  # quarter notes to learn; what the song repeats counts once
    because: tuple[Reason, ...]
    date: datetime.date | None = None
    suggested_level: float | None = None  # where no level was given


@dataclass(frozen=True, slots=True)
class Review:
    """A lesson without a song of its own."""

    lesson: int  # from 1
    songs: tuple[str, ...]  # those since the last review, by their ids
    date: datetime.date | None = None


@dataclass(frozen=True, slots=True)
class Stage:
    """One aim, in order of importance: the value reached, and the best that may be possible."""

    aim: str
    value: float  # a mean share of 0 to 1, or quarter notes
    bound: float  # no plan within the limits and as good in the aims before can be better

    @property
    def optimal(self) -> bool:
        """Whether nothing better is possible; of mean shares in whole percent, as they decide."""
        if self.aim == PEAK_AIM:
            return self.value == self.bound
        return whole_percent(self.value) == whole_percent(self.bound)


def whole_percent(share: float) -> int:
    """Return a share of 0 to 1 in percent, rounded down but for errors of floating point.

    Examples
    --------
    >>> whole_percent(0.29), whole_percent(0.2999)
    (29, 29)
    """
    return int(share * 100 + 1e-6)


@dataclass(frozen=True, slots=True)
class LessonPlan:
    """A lesson sequence, and how good it is."""

    lessons: tuple[Lesson, ...]
    stages: tuple[Stage, ...]
    limits: Limits
    stopped_by_clock: bool = False  # a machine of another speed may find another plan
    broken: tuple[str, ...] = ()  # limits that a plan edited by hand breaks, in words
    reviews: tuple[Review, ...] = field(init=False)
    optimal: bool = field(init=False)  # every aim, with every limit kept

    def __post_init__(self) -> None:
        proved = all(stage.optimal for stage in self.stages)
        object.__setattr__(self, "optimal", proved and not self.broken)
        date_of = self.limits.date_of
        dated = tuple(replace(lesson, date=date_of(lesson.lesson)) for lesson in self.lessons)
        object.__setattr__(self, "lessons", dated)
        every = self.limits.review_every or len(self.lessons) + 2
        songs = [lesson.song for lesson in self.lessons]
        reviews = tuple(
            Review(
                number * every,
                tuple(songs[(number - 1) * (every - 1) : number * (every - 1)]),
                date_of(number * every),
            )
            for number in range(1, len(songs) // (every - 1) + 1)
        )
        object.__setattr__(self, "reviews", reviews)
