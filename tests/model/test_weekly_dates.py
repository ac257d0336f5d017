"""The dates of weekly lessons."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.results.lesson import Lesson, LessonPlan, Limits
from melodex.model.weekly_dates import weekly_date

DAYS = st.dates(date(2000, 1, 1), date(2100, 1, 1))


@given(first=DAYS, off=st.lists(DAYS, max_size=4), lesson=st.integers(1, 60))
def test_every_lesson_is_on_the_weekday_of_the_first_and_none_in_a_week_off(first, off, lesson):
    day = weekly_date(first, off, lesson)
    assert day.weekday() == first.weekday()
    assert day.isocalendar()[:2] not in {each.isocalendar()[:2] for each in off}


@given(first=DAYS, lesson=st.integers(1, 60))
def test_without_weeks_off_a_lesson_comes_each_week(first, lesson):
    assert weekly_date(first, (), lesson) == first + timedelta(weeks=lesson - 1)


def test_a_week_off_in_which_there_was_no_lesson_anyway_changes_nothing():
    first = date(2027, 1, 11)
    assert weekly_date(first, [date(2026, 12, 24)], 3) == date(2027, 1, 25)


def test_reviews_have_dates_too_and_take_a_week():
    limits = Limits(review_every=3, first_date=date(2027, 1, 11), skip=(date(2027, 1, 20),))
    lessons = tuple(
        Lesson(limits.lesson_of(place), f"song-{place}", "", None, 0.0, 0.0, 0.0, 0.0, ())
        for place in range(3)
    )
    plan = LessonPlan(lessons, (), limits)
    days = [date(2027, 1, 11), date(2027, 1, 25), date(2027, 2, 8)]
    assert [lesson.date for lesson in plan.lessons] == days
    assert [review.date for review in plan.reviews] == [date(2027, 2, 1)]


@pytest.mark.parametrize("day", ["11 January", "2027-13-01", 5])
def test_what_is_no_date_is_refused_with_an_example(day):
    with pytest.raises(QueryError, match="no date"):
        Limits(first_date=day)


def test_weeks_off_need_a_first_date():
    with pytest.raises(QueryError, match="when the first lesson is"):
        Limits(skip=(date(2027, 2, 15),))
