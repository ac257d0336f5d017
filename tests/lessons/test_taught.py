"""Records of lessons in a student's file, and when reviews are due."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import DescriptionError
from melodex.lessons.spacing import due_date, due_reviews
from melodex.lessons.student_file import read_student_file, skills_in
from melodex.lessons.taught_lines import TaughtLine, read_taught

DAY = date(2027, 1, 11)
DAYS = st.dates(date(1990, 1, 1), date(2100, 1, 1))
words = st.text("abcdefgh ", min_size=1).map(str.strip).filter(bool)


@pytest.fixture
def read(tmp_path):
    def from_text(text):
        path = tmp_path / "ann.csv"
        path.write_text(text, encoding="utf-8")
        return read_student_file(path, song_named=str.casefold)

    return from_text


@given(
    day=DAYS,
    student=st.just("") | words,
    name=words,
    up_to=st.none() | st.integers(0, 99),
    is_lick=st.booleans(),
)
def test_a_line_is_read_as_it_was_written(day, student, name, up_to, is_lick):
    if student.endswith("lick"):
        return
    line = TaughtLine(day, student, name, is_lick, None if is_lick else up_to)
    assert read_taught(str(line)) == line
    assert read_taught(f'"{line}",,') == line


@pytest.mark.parametrize("head", ["", "Old Road\n", "student,song,lick\nAnn,Old Road,\n"])
def test_taught_lines_stand_below_a_list_or_a_table(read, head):
    text = f"{head}taught 2027-01-11 to Ann: Pike, The Old\ntaught 2027-01-12 to Ann lick: fill\n"
    file = read(text)
    (skill,) = [each for each in skills_in(file, ["fill"]) if each.student == "Ann"]
    assert "pike, the old" in skill.songs
    assert skill.licks == {"fill"}


def test_a_song_taught_in_part_is_known_in_part(read):
    (skill,) = skills_in(read("taught 2027-01-11: Waltz, up to measure 8\n"), [])
    assert (skill.songs, skill.beginnings) == (frozenset(), (("waltz", 8),))


@pytest.mark.parametrize(
    "line", ["taught 2027-02-30: Waltz", "taught 2027: Waltz", "taught 2027-01-11 Waltz"]
)
def test_a_line_that_cannot_be_understood_is_named(read, line):
    with pytest.raises(DescriptionError, match=r"line 2: .*is not a line such as"):
        read(f"Old Road\n{line}\n")


def test_the_same_on_the_same_day_is_a_mistake(read):
    line = "taught 2027-01-11: Waltz\n"
    with pytest.raises(DescriptionError, match="line 2: it repeats line 1"):
        read(line * 2)


def test_intervals_grow_as_in_the_memory_schedule():
    # Source: Pimsleur, Modern Language Journal 51 (1967): 5 days, 25 days, 4 months, 2 years (from
    # memory).
    days = [DAY + timedelta(days=7 * week) for week in range(5)]
    waits = [(due_date(days[: n + 1]) - days[n]).days for n in range(5)]
    assert waits == [5, 25, 120, 730, 730]


def test_what_is_overdue_longest_comes_first_and_what_has_no_date_never(read):
    file = read(
        "Gate\ntaught 2027-01-11: Waltz\ntaught 2027-01-04: Reel\ntaught 2027-01-18: Reel\n"
        "taught 2027-01-05: Jig\n"
    )
    due = due_reviews(file.lines, date(2027, 1, 20))
    assert [(each.song, each.due) for each in due] == [
        ("jig", date(2027, 1, 10)),
        ("waltz", date(2027, 1, 16)),
    ]


@given(days=st.sets(DAYS, min_size=1, max_size=6), on=DAYS)
def test_nothing_is_due_before_it_was_taught(days, on):
    path_lines = [TaughtLine(day, "", "waltz") for day in days]
    assert due_date(days) > max(line.day for line in path_lines)
    assert due_date(days) > on or max(days) < on
