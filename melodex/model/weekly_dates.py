"""Dates of weekly lessons, skipping weeks off."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from itertools import count, islice

from melodex.errors import QueryError, shown

WEEK = timedelta(weeks=1)


def as_date(name: str, given: object) -> date:
    """Return a date given as such, or as text like 2027-01-11.

    Raises
    ------
    QueryError
        If it is not a date.
    """
    if isinstance(given, datetime):
        return given.date()
    if isinstance(given, date):
        return given
    try:
        return date.fromisoformat(str(given))
    except ValueError:
        raise QueryError(
            f"'{name}' cannot be {shown(given)}, which is not a date.",
            "write year, month and day: 2027-01-11.",
        ) from None


def weekly_date(first: date, weeks_off: Iterable[date], lesson: int) -> date:
    """Return the date of a lesson, from 1, on the weekday of the first.

    Weeks (Monday to Sunday) that contain a date of ``weeks_off`` have no lesson.

    Examples
    --------
    >>> weekly_date(date(2027, 1, 11), [date(2027, 1, 20)], 2)
    datetime.date(2027, 1, 25)
    """
    off = {day.isocalendar()[:2] for day in weeks_off}
    weeks = (first + week * WEEK for week in count())
    lessons = (day for day in weeks if day.isocalendar()[:2] not in off)
    return next(islice(lessons, lesson - 1, None))


def date_in_words(day: date) -> str:
    """Return a date in words.

    Examples
    --------
    >>> date_in_words(date(2027, 1, 11))
    'Monday 11 January 2027'
    """
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


# Not by strftime, which depends on the locale.
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
