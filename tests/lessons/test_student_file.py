"""A student's file: what a person may write, and what is told about mistakes."""

import pytest

from melodex.errors import DescriptionError, SongNotFoundError
from melodex.lessons.student_file import read_student_file, skills_in
from melodex.model.results.known import Skill

IDS = {
    "Old Road": "old-road",
    "old-road": "old-road",
    "waltz": "waltz",
    "Pike, The Old": "old-pike",
}


def song_named(name):
    if name not in IDS:
        raise SongNotFoundError(f"No song is called {name!r}.", "list them.")
    return IDS[name]


@pytest.fixture
def skills_of(tmp_path):
    """Read a text as a student's file where two licks are known."""

    def read(text):
        path = tmp_path / "ann.csv"
        path.write_text(text, encoding="utf-8")
        return skills_in(read_student_file(path, song_named=song_named), ["fill", "run"])

    return read


def test_songs_and_licks_stand_in_columns_beside_the_teachers_own(skills_of):
    text = "song,lick,remark\nOld Road,,since May\n,fill,\nwaltz,run,\n"
    assert skills_of(text) == [
        Skill("", frozenset({"old-road", "waltz"}), frozenset({"fill", "run"}))
    ]


def test_a_column_of_students_makes_a_class_in_the_files_order(skills_of):
    text = "student;song\nBen;waltz\nAnn;Old Road\nBen;Old Road\nCleo;\n"
    assert [(skill.student, sorted(skill.songs)) for skill in skills_of(text)] == [
        ("Ben", ["old-road", "waltz"]),
        ("Ann", ["old-road"]),
        ("Cleo", []),
    ]


def test_a_plain_list_has_a_title_on_every_line_with_any_commas(skills_of):
    for text in ("Pike, The Old\n\nwaltz\n", 'song\nPike, The Old\n"waltz"\n'):
        assert skills_of(text) == [Skill("", frozenset({"old-pike", "waltz"}))]


def test_a_song_may_be_known_up_to_a_measure(skills_of):
    assert skills_of("song,up to measure\nwaltz,8\nOld Road,\n") == [
        Skill("", frozenset({"old-road"}), beginnings=(("waltz", 8),))
    ]


def test_a_header_alone_is_a_student_who_can_play_nothing(skills_of):
    assert skills_of("song\n") == [Skill("", frozenset(), frozenset())]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (
            "title\nwaltz\n",
            "line 1: no song is called 'title', and no column is called 'song' or 'lick'.",
        ),
        (
            "song,up to measure\nwaltz,eight\n",
            "line 2: 'eight' is not the number of a measure of a song.",
        ),
        ("lick,up to measure\nfill,8\n", "line 2: '8' is not the number of a measure of a song."),
        ("song\nwaltz\npolka\n", "line 3: no song is called 'polka'."),
        (
            "song,lick\nwaltz,fall\n",
            "line 2: no lick is called 'fall' (was it renamed?); the nearest: 'fill'.",
        ),
        ("song\nOld Road\n\nold-road\n", "line 4: it says the same as line 2."),
        ("song,song\nwaltz,waltz\n", "line 1: two columns are called 'song'."),
        ("song,lick\nwaltz,,5\n", "line 2: '5' stands in a column without a name."),
    ],
)
def test_a_mistake_gets_one_sentence_with_its_line(skills_of, text, problem):
    with pytest.raises(DescriptionError) as caught:
        skills_of(text)
    assert caught.value.problem.endswith(problem)
    assert "ann.csv" in caught.value.problem


def test_a_file_that_is_missing_gets_a_sentence(tmp_path):
    with pytest.raises(DescriptionError, match="there is no such file"):
        read_student_file(tmp_path / "none.csv", song_named=song_named)
