"""Pictures of audits and plans."""

import xml.etree.ElementTree as ET

import pytest

from melodex.errors import AuditError
from melodex.model.results.audit import (
    Audit,
    AuditedSong,
    Comparison,
    Coverage,
    LickUse,
    NearDuplicate,
    Overview,
    SharedPair,
    Tune,
)
from melodex.model.results.lesson import Lesson
from melodex.report.audit_plots import draw_audit, draw_overview
from melodex.report.lesson_plot import draw_lessons

HOSTILE = "<script>alert('$x^2$')</script> & Co"
TITLES = {"a": "Weir at Dusk", "b": HOSTILE, "c": "木の歌", "d": "Alone"}
PAIR = ("a", TITLES["a"], "b", TITLES["b"])
AUDITED = Overview(
    songs=tuple(
        AuditedSong(song, title, 8, shared)
        for (song, title), shared in zip(TITLES.items(), (0.53, 0.41, 0.0, 0.0), strict=True)
    ),
    tunes=(),
    pairs=(SharedPair(*PAIR, 4.24, 3.28, 0.53, 0.41, ((1, 2),), ((1, 1),), ("rise",), True),),
    near_duplicates=(NearDuplicate(*PAIR, 0.9, None, 0),),
    taught_often=(LickUse("rise", 4, 2, 2, 3, ("a", "b"), ("", ""), None, None),),
    taught_once=(
        LickUse("fall", 2, 1, 1, 1, ("c",), ("",), None, None),
        LickUse("turn", 2, 1, 1, 1, ("a",), ("",), None, None),
    ),
    alone=(),
)
NOTHING = Overview(AUDITED.songs[3:], (), (), (), (), (), ())
COMPARED = Comparison(
    "Book A",
    HOSTILE,
    common_tunes=(),
    common_licks=AUDITED.taught_often,
    common_passages=AUDITED.pairs,
    tunes_only_a=(Tune("Alone", ("d",), ("Alone",)),) * 3,
    tunes_only_b=(),
    coverage_a=Coverage(0.25, 4.0, 16.0, (), ()),
    coverage_b=Coverage(None, 0.0, 0.0, (), ()),
)
LESSONS = [
    Lesson(number, song, TITLES[song], None, reused / 20, 0, reused, new, ())
    for number, (song, reused, new) in enumerate([("a", 0, 13), ("b", 11, 7)], start=1)
]


def texts_of(path):
    """Read every text of a picture; ElementTree is its witness for being sound XML."""
    root = ET.parse(path).getroot()  # noqa: S314 - we have drawn it ourselves
    return [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")]


def test_the_matrix_names_its_songs_in_text_and_has_every_share_in_per_cent(tmp_path):
    matrix, _ = draw_overview(AUDITED, tmp_path)
    texts = texts_of(matrix)
    assert texts.count("Weir at Dusk") == 2  # above and beside
    assert texts.count("53") == 2  # of a, by b, and by all others together
    assert texts.count("41") == 2
    assert "Alone" not in texts


def test_two_groups_are_compared_in_numbers(tmp_path):
    picture = draw_audit(Audit(AUDITED, COMPARED), tmp_path)[-1]
    texts = texts_of(picture)
    assert {"tunes: Book A", "licks: Book A", "quarter notes: Book A"} <= set(texts)
    assert texts.count("3") == 1  # tunes of Book A only
    assert {"4", "12"} <= set(texts)  # quarter notes of Book A that both have, and only it
    assert any(HOSTILE in text for text in texts)


def test_the_licks_have_a_row_each_with_the_number_of_songs(tmp_path):
    _, licks = draw_overview(AUDITED, tmp_path)
    assert {"rise, in 2", "fall, in 1", "turn, in 1"} <= set(texts_of(licks))


def test_lessons_tell_new_and_reused_time_in_numbers(tmp_path):
    (lessons,) = draw_lessons(LESSONS, tmp_path)
    texts = texts_of(lessons)
    assert {"13", "11", "7", "new", "re-used"} <= set(texts)


def test_a_title_is_shown_as_it_is_and_never_becomes_markup(tmp_path):
    for path in (*draw_overview(AUDITED, tmp_path), *draw_lessons(LESSONS, tmp_path)):
        assert any(HOSTILE in text for text in texts_of(path))
        assert "<script" not in path.read_text(encoding="utf-8")


def test_a_long_title_is_cut_and_what_xml_forbids_left_out(tmp_path):
    song = AuditedSong("a", "Bell\x07 and\x00 " + "Rope " * 20, 8, 0.2)
    one = Overview((song,), (), (), (), (), AUDITED.taught_once[1:], ())
    title = texts_of(draw_overview(one, tmp_path)[0])[0]
    assert title.startswith("Bell and Rope Rope")
    assert title.endswith("…")
    assert len(title) < 50


def test_the_same_audit_gives_the_same_bytes(tmp_path):
    once = draw_overview(AUDITED, tmp_path / "once") + draw_lessons(LESSONS, tmp_path / "once")
    again = draw_overview(AUDITED, tmp_path / "again") + draw_lessons(LESSONS, tmp_path / "again")
    assert [path.read_bytes() for path in once] == [path.read_bytes() for path in again]


def test_where_there_is_nothing_to_draw_no_file_is_written(tmp_path):
    assert draw_overview(NOTHING, tmp_path) == []
    assert draw_lessons([], tmp_path) == []
    assert list(tmp_path.iterdir()) == []


def test_one_song_with_licks_is_drawn_alone(tmp_path):
    one = Overview(AUDITED.songs[2:3], (), (), (), (), AUDITED.taught_once[:1], ())
    assert "木の歌" in texts_of(draw_overview(one, tmp_path)[0])


def test_of_very_many_songs_those_that_share_most_are_drawn(tmp_path):
    ids = [f"song-{n:03}" for n in range(150)]
    pairs = tuple(
        SharedPair("song-149", "", song, "", 2, 2, 0.25, 0.25, (), (), ("x",), False)
        for song in ids[30:]
    )
    many = Overview(
        songs=tuple(AuditedSong(song, song, 8, 0.25) for song in ids),
        tunes=(),
        pairs=pairs[:-1],
        near_duplicates=(NearDuplicate("song-000", "", "song-149", "", 0.9, None, 0),),
        taught_often=(LickUse("x", 2, 150, 150, 150, tuple(ids), tuple(ids), None, None),),
        taught_once=(),
        alone=(),
    )
    for path in draw_overview(many, tmp_path):
        assert {text for text in texts_of(path) if text.startswith("song-")} == set(ids[30:])


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(AuditError, match="file"):
        draw_overview(AUDITED, tmp_path / "file")
