"""A plan goes to a file and comes back, and a person may edit it in between."""

import tomllib
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import PlanError, SongNotFoundError
from melodex.lessons.plan_file import read_plan, write_plan
from melodex.model.results.lesson import NO_LIMITS, Lesson, LessonPlan, Limits

SONGS, LEFT_OUT = ["gate", "mill", "weir"], "lane"


def song_named(name):
    if name not in (*SONGS, LEFT_OUT):
        raise SongNotFoundError(f"No song is called {name!r}.", "list them.")
    return name


def plan_of(songs, limits=NO_LIMITS, titles=None):
    lessons = tuple(
        Lesson(limits.lesson_of(place), song, (titles or {}).get(song, song), None, 0, 0, 0, 1, ())
        for place, song in enumerate(songs)
    )
    return LessonPlan(lessons, (), limits)


songs = st.sampled_from(SONGS)
limits_of_files = st.builds(
    Limits,
    level_step=st.none() | st.integers(0, 5) | st.floats(0, 5),
    most_new=st.none() | st.integers(0, 99) | st.floats(0, 99),
    must_come=st.lists(songs).map(tuple),
    must_not_come=st.just(()) | st.just((LEFT_OUT,)),
    before=st.lists(st.tuples(songs, songs)).map(tuple),
    first=st.none() | songs,
    last=st.none() | songs,
    kept=st.sampled_from([(), ((2, "gate"),)]),
    review_every=st.none() | st.integers(3, 5),
    in_turn=st.lists(st.sampled_from(["waltz", "hook \u201cx\u201d"])).map(tuple),
)
dates = st.dates(date(1990, 1, 1), date(2100, 1, 1))


@given(
    limits=limits_of_files,
    first_date=st.none() | dates,
    skip=st.lists(dates, max_size=3),
    title=st.text(st.characters(exclude_categories=["Cs"])),
)
def test_songs_and_limits_come_back_as_they_were_written(
    tmp_path_factory, limits, first_date, skip, title
):
    if first_date is not None:
        limits = replace(limits, first_date=first_date, skip=tuple(skip))
    path = tmp_path_factory.mktemp("plan") / "plan.toml"
    write_plan(path, plan_of(["mill", "gate", "weir"], limits, {"mill": title}))
    again = read_plan(path, song_named=song_named)
    assert again.songs == ("mill", "gate", "weir")
    assert again.limits == limits
    assert tomllib.loads(path.read_text(encoding="utf-8"))["lesson"][0]["title"] == title


def test_a_file_of_lessons_alone_is_enough(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text('[[lesson]]\nsong = "weir"\n[[lesson]]\nsong = "gate"\nkeep = true\n')
    assert read_plan(path, song_named=song_named).songs == ("weir", "gate")
    assert read_plan(path, song_named=song_named).limits == Limits(kept=((2, "gate"),))


def test_a_lesson_that_is_kept_after_a_review_is_numbered_with_it(tmp_path):
    path = tmp_path / "plan.toml"
    limits = Limits(kept=((4, "weir"),), review_every=3)
    write_plan(path, plan_of(["mill", "gate", "weir"], limits))
    assert "# 3: a review." in path.read_text(encoding="utf-8")
    assert read_plan(path, song_named=song_named).limits == limits


def test_an_old_plan_limits_new_material_in_measures_of_four_quarter_notes(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text('[limits]\nmost_new = 6\n[[lesson]]\nsong = "mill"\n', encoding="utf-8")
    assert read_plan(path, song_named=song_named).limits == Limits(most_new=24)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ('[[lesson]]\nsong = "polka"\n', "line 1: no song is called 'polka'."),
        ('[[lesson]]\nsong = "mill"\n\n[[lesson]]\ntitle = "x"\n', "line 4: this lesson names no"),
        ('[[lesson]]\nsong = "mill"\n[[lesson]]\nsong = "mill"\n', "line 3: mill is in lesson 1"),
        ('[[lesson]]\nsong = "mill"\nkeep = "yes"\n', "line 1: keep is 'yes' here, neither true"),
        (
            "[limits]\nlevel_step = 1\nmost_new = true\n",
            "line 3: most_new must be a number of measures",
        ),
        ('[limits]\nlevel_step = "easy"\n', "line 2: level_step must be a number, 0 or more."),
        ('[limits]\nbefore = ["mill", "gate"]\n', "line 2: before must be a list of pairs"),
        ('[limits]\nfirst = "polka"\n', "line 2: no song is called 'polka'."),
        (
            "[limits]\nnew_at_most = 10000000000000000000\n",
            "line 1: the limit 'most_new' cannot be",
        ),
        (
            "[limits]\nspeed = 3\n",
            "line 2: there is no limit 'speed', only level_step, new_at_most",
        ),
        ("\nspeed = 3\n", "line 2: 'speed' means nothing in a plan."),
        ("limits = 3\n", "line 1: the limits begin with [limits]."),
        ("\nlesson = 3\n", "line 2: each lesson begins with [[lesson]]."),
        ("lesson = [3]\n", "line 1: each lesson begins with [[lesson]]."),
        ('[limits]\n[[lesson]]\nsong = "mill\n', "line 3: this is not valid TOML."),
        ("[limits", "line 1: this is not valid TOML."),
        ("first = ", "line 1: this is not valid TOML."),
    ],
)
def test_a_mistake_gets_one_sentence_with_its_line(tmp_path, text, problem):
    path = tmp_path / "plan.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        read_plan(path, song_named=song_named)
    assert f"plan.toml, {problem}" in caught.value.problem


def test_a_plan_that_is_missing_or_cannot_be_written_gets_a_sentence(tmp_path):
    with pytest.raises(PlanError, match="there is no such file"):
        read_plan(tmp_path / "none.toml", song_named=song_named)
    with pytest.raises(PlanError, match="Cannot write"):
        write_plan(tmp_path / "no folder" / "plan.toml", plan_of(["mill"]))
