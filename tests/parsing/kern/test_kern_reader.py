"""Kern files converted to songs."""

import pytest

from melodex.model.key import Key
from melodex.model.metre import Metre
from melodex.parsing.formats import read_file
from tests.parsing.score.hand_scores import failure_of, song_from

TUNE = """!!!OTL: The Green Gate
**kern
*ICvox
*k[f#]
*G:
*M4/4
*MM96
{4d
=1
4g
8a
8b
[2cc
=2
4cc]}
{4b
4a
4g}
=:|!
4r
4dd
2b}
==
*-
"""


def kern(*lines: str, spine: str = "**kern") -> str:
    return "\n".join((spine, *lines, "*-", ""))


def test_kern_gives_title_key_metre_and_tempo(tmp_path):
    song = song_from(tmp_path, TUNE, "tune.krn")
    assert song.title == "The Green Gate"
    assert song.key == Key("G", "major", (("F", 1),))
    assert (song.metre, song.tempo) == (Metre(4, 4), 96)


def test_kern_gives_notes_with_a_pickup_and_joined_ties(tmp_path):
    melody = song_from(tmp_path, TUNE, "tune.krn").melody
    assert melody.pitches.tolist() == [62, 67, 69, 71, 72, 71, 69, 67, 74, 71]
    assert melody.onsets.tolist() == [0, 1, 2, 2.5, 3, 6, 7, 8, 10, 11]
    assert melody.durations.tolist() == [1, 1, 0.5, 0.5, 3, 1, 1, 1, 1, 2]
    assert melody.measures.tolist() == [0, 1, 1, 1, 1, 2, 2, 2, 2, 2]


def test_kerns_phrase_marks_end_phrases_also_on_a_tied_note(tmp_path):
    # music21 drops the marks. Source: Huron, The Humdrum Toolkit, 1994, kern: { begins, } ends.
    assert song_from(tmp_path, TUNE, "tune.krn").melody.phrase_ends.tolist() == [4, 7, 9]


def test_a_phrase_that_closes_on_a_rest_ends_with_the_note_before_it(tmp_path):
    song = song_from(tmp_path, kern("*M4/4", "{4c", "4d", "4r}", "4e"), "tune.krn")
    assert song.melody.phrase_ends.tolist() == [1]


def test_kerns_repeat_signs_are_followed(tmp_path):
    song = song_from(tmp_path, TUNE, "tune.krn")
    assert song.sections.tolist() == [[0, 9], [0, 13]]
    assert [(line.onset, line.style) for line in song.bar_lines] == [
        (9, "repeat end"),
        (13, "double"),
    ]


@pytest.mark.parametrize(
    ("token", "key"),
    [
        ("*a:", Key("A", "minor")),
        ("*B-:", Key("Bb", "major", (("B", -1), ("E", -1)))),
        ("*G:mix", Key("G", "mixolydian")),
        ("*d:dor", Key("D", "dorian")),
        ("*k[f#c#]", Key("", "", (("F", 1), ("C", 1)))),
        ("*M2/4", None),
    ],
)
def test_kerns_keys_are_read_modal_ones_too(tmp_path, token, key):
    assert song_from(tmp_path, kern(token, "4c"), "tune.krn").key == key


def test_kerns_grace_notes_and_chords_are_kept_apart(tmp_path):
    song = song_from(tmp_path, kern("4c", "qd", "4e 4g 4cc"), "tune.krn")
    assert song.melody.pitches.tolist() == [60, 72]
    assert song.melody.grace_notes.pitches.tolist() == [62]
    assert song.melody.chord_tones.pitches.tolist() == [67, 64]


def test_the_top_spine_is_read_with_the_words_beside_it(tmp_path):
    rows = ("*Ibass\t*Icant\t*", "4C\t4c\tGate", "4D\t4e\tgreen", "4E\t4g\t.")
    song = song_from(
        tmp_path,
        kern(*rows, spine="**kern\t**kern\t**text").replace("\n*-", "\n*-\t*-\t*-"),
        "tune.krn",
    )
    assert song.melody.pitches.tolist() == [60, 64, 67]
    assert [(word.note, word.text) for word in song.lyrics] == [(0, "Gate"), (1, "green")]


def test_where_a_spine_splits_its_first_branch_is_read(tmp_path):
    rows = ("=1", "4c", "*^", "4e\t4C", "4g\t4D", "*v\t*v", "4cc")
    song = song_from(tmp_path, kern("*M4/4", *rows), "tune.krn")
    assert song.melody.pitches.tolist() == [60, 64, 67, 72]


def test_every_piece_of_a_kern_file_is_a_song_or_a_failure(tmp_path):
    path = tmp_path / "book.krn"
    path.write_text("!!!OTL: Book\n" + kern("4c") + kern("4d") + kern("1r") + kern("4e"))
    reading = read_file(path)
    assert [song.melody.pitches.tolist() for song in reading.songs] == [[60], [62], [64]]
    assert [song.source.tune for song in reading.songs] == ["1", "2", "4"]
    assert [failure.tune for failure in reading.failures] == ["3"]


def test_kern_measures_without_numbers_are_counted(tmp_path):
    song = song_from(tmp_path, kern("*M1/4", "=", "4c", "=", "4d", "=", "4e"), "tune.krn")
    assert song.melody.measures.tolist() == [1, 2, 3]


def test_kern_that_begins_in_the_middle_of_a_work_keeps_its_numbers(tmp_path):
    song = song_from(tmp_path, kern("*M1/4", "=34", "4c", "=35", "4d"), "tune.krn")
    assert song.melody.measures.tolist() == [34, 35]


def test_a_fault_in_one_piece_of_a_kern_file_leaves_the_others(tmp_path):
    path = tmp_path / "book.krn"
    path.write_text(kern("4c") + kern("4d", "4x") + kern("4e", "4f\t4g") + kern("4g"))
    reading = read_file(path)
    assert [song.melody.pitches.tolist() for song in reading.songs] == [[60], [67]]
    assert [(failure.tune, failure.line, failure.reason) for failure in reading.failures] == [
        ("2", 6, "'4x' is not a note or rest in kern"),
        ("3", 10, "the number of columns (2) is not that of spines (1)"),
    ]


def test_reference_records_between_two_pieces_belong_to_the_second(tmp_path):
    path = tmp_path / "book.krn"
    titled = ("!!!OTL: Gate\n" + kern("4c"), "!!!OTL@EN: Mill\n!!!OTA: Mill Race\n" + kern("4d"))
    path.write_text("".join(titled) + "!!!ARE: nowhere\n")
    songs = read_file(path).songs
    assert [(song.title, song.other_titles) for song in songs] == [
        ("Gate", ()),
        ("Mill", ("Mill Race",)),
    ]


def test_the_part_that_was_read_is_named_with_its_place_from_the_top(tmp_path):
    rows = ('*I"Banjo\t*I"Flute\t*I"Oboe', "4c\t4e\t4g")
    spines = "**kern\t**kern\t**kern"
    song = song_from(
        tmp_path, kern(*rows, spine=spines).replace("\n*-", "\n*-\t*-\t*-"), "tune.krn"
    )
    assert song.melody.pitches.tolist() == [60]
    assert song.remarks == ('Read part 3 of 3, "Banjo"; the others are left out.',)


def test_a_spine_that_splits_is_remarked(tmp_path):
    song = song_from(tmp_path, kern("*^", "4e\t4C", "*v\t*v", "4cc"), "tune.krn")
    assert song.remarks == ("Where several voices share its staff, only the first is read.",)


def test_words_are_those_between_a_part_and_the_next(tmp_path):
    rows = ("4C\tDeep\t4c\tpp\tHigh", "=1\t=1\t=1\t=1\t=1", "4D\t.\t4d\t.\t.")
    spines = "**kern\t**text\t**kern\t**dynam\t**silbe"
    content = kern(*rows, spine=spines).replace("\n*-", "\n" + "\t".join(["*-"] * 5))
    song = song_from(tmp_path, content, "tune.krn")
    assert [(word.note, word.text) for word in song.lyrics] == [(0, "High")]


@pytest.mark.parametrize(
    "content", ["**kern\n*M4/4\n1r\n*-\n", "**text\nla\n*-\n", "!! only words\n**kern\n"]
)
def test_kern_without_notes_is_a_failure(tmp_path, content):
    assert "no notes" in failure_of(tmp_path, content.encode(), "tune.krn").reason


def test_music_outside_of_all_spines_is_a_failure_with_its_line(tmp_path):
    failure = failure_of(tmp_path, b"**kern\n4c\n*-\n4d\n", "tune.krn")
    assert (failure.line, failure.reason) == (
        4,
        "the number of columns (1) is not that of spines (0)",
    )


def test_a_pitch_outside_midis_range_is_a_failure_with_its_measure(tmp_path):
    failure = failure_of(
        tmp_path, kern("*M1/4", "=1", "4c", "=2", "4" + "c" * 9).encode(), "tune.krn"
    )
    assert "a note in measure 2 has pitch 156" in failure.reason
