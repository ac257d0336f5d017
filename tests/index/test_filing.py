"""What becomes of songs, their ids and their descriptions when a file is added again."""

import pytest

from melodex.index.intake.build import add_files
from melodex.index.intake.file_records import record_file
from melodex.index.intake.filing import file_record
from melodex.model.description import Description
from tests.index.toy_reader import read_toy_file, toy_file

BOOK = ["1|Waltz|60 62 64", "2|Reel|65 67 69", "3|Jig|70 72 74"]


@pytest.fixture
def add_book(catalogue, tmp_path):
    """Write a book of tunes and add it; each call rewrites the same file."""

    def add(*tunes):
        return add_files(catalogue, [toy_file(tmp_path / "book.toy", tunes)], read=read_toy_file)

    return add


@pytest.fixture
def described(catalogue, add_book):
    add_book(*BOOK)
    catalogue.describe([Description(song, {"term": (song,)}) for song in catalogue.song_ids()])
    return catalogue


def _counts(report):
    return (report.added, report.updated, report.unchanged, report.removed)


def _terms(catalogue):
    """Each song's first pitch and the id under which it was first described."""
    return {
        int(melody.pitches[0]): catalogue.facts(song).get("term", (None,))[0]
        for song, melody, *_ in catalogue.melodies()
    }


def test_an_unchanged_book_changes_nothing(described, add_book):
    version = described.melody_version()
    assert _counts(add_book(*BOOK)) == (0, 0, 3, 0)
    assert described.melody_version() == version


def test_a_tune_put_in_front_leaves_the_others_unchanged(described, add_book):
    report = add_book("1|Polka|50", "2|Waltz|60 62 64", "3|Reel|65 67 69", "4|Jig|70 72 74")
    assert _counts(report) == (1, 0, 3, 0)
    assert _terms(described) == {50: None, 60: "waltz", 65: "reel", 70: "jig"}
    assert described.song("jig").source.tune == "4"
    assert described.song("jig").source.line == 4


def test_corrected_notes_are_an_update_under_the_same_id(described, add_book):
    version = described.melody_version()
    assert _counts(add_book(BOOK[0], "2|Reel|66 67 69", BOOK[2])) == (0, 1, 2, 0)
    assert _terms(described) == {60: "waltz", 66: "reel", 70: "jig"}
    assert described.melody_version() != version


def test_a_corrected_title_is_an_update_under_the_same_id(described, add_book):
    version = described.melody_version()
    assert _counts(add_book(BOOK[0], "2|The Reel|65 67 69", BOOK[2])) == (0, 1, 2, 0)
    assert described.entry("reel").title == "The Reel"
    assert described.facts("reel") == {"term": ("reel",)}
    assert described.melody_version() == version  # no note has changed


def test_a_tune_taken_out_of_the_book_is_removed(described, add_book):
    version = described.melody_version()
    assert _counts(add_book(BOOK[0], "2|Jig|70 72 74")) == (0, 0, 2, 1)
    assert _terms(described) == {60: "waltz", 70: "jig"}
    assert described.melody_version() != version


def test_tunes_without_titles_keep_their_descriptions_when_one_is_taken_out(catalogue, add_book):
    add_book("1||60", "2||65", "3||70")
    catalogue.describe([Description(song, {"term": (song,)}) for song in catalogue.song_ids()])
    add_book("1||65", "2||70")
    assert _terms(catalogue) == {65: "untitled-2", 70: "untitled-3"}


def test_tunes_of_the_same_number_and_title_are_all_kept(add_book):
    assert _counts(add_book("1|Waltz|60", "1|Waltz|62", "1|Waltz|60")) == (3, 0, 0, 0)
    assert _counts(add_book("1|Waltz|60", "1|Waltz|62", "1|Waltz|60", "")) == (0, 0, 3, 0)


def test_two_tunes_that_change_places_change_no_id(described, add_book):
    assert _counts(add_book("1|Reel|65 67 69", "2|Waltz|60 62 64", BOOK[2])) == (0, 0, 3, 0)
    assert _terms(described) == {60: "waltz", 65: "reel", 70: "jig"}


def test_a_tune_that_now_fails_keeps_its_earlier_reading(described, add_book):
    report = add_book(BOOK[0], "fail|2|measure 1 is too long", BOOK[2])
    assert _counts(report) == (0, 0, 3, 0)
    (failure,) = report.failed
    assert failure.tune == "2"
    assert failure.reason == "measure 1 is too long; what was read there before is kept"
    assert _terms(described) == {60: "waltz", 65: "reel", 70: "jig"}


def test_a_new_tune_does_not_take_the_place_of_one_that_fails(catalogue, add_book):
    add_book("1||60", "2||65")
    catalogue.describe([Description("untitled-2", {"term": ("second",)})])
    report = add_book("1||60", "fail|2|no notes", "3||70")
    assert _counts(report) == (1, 0, 2, 0)
    assert _terms(catalogue) == {60: None, 65: "second", 70: None}


def test_a_failure_that_costs_nothing_new_is_listed_again_with_the_unchanged_book(add_book):
    book = (BOOK[0], "fail|2|no notes")
    first = add_book(*book)
    again = add_book(*book)
    assert first.failed == again.failed
    assert _counts(again) == (0, 0, 1, 0)
    assert "before" not in first.failed[0].reason


def test_a_book_that_fails_as_a_whole_keeps_its_songs_and_says_so(described, add_book):
    version = described.melody_version()
    report = add_book("fail||not a score")
    assert _counts(report) == (0, 0, 3, 0)
    assert report.failed[0].reason == "not a score; what was read there before is kept"
    assert described.melody_version() == version
    assert _counts(add_book(*BOOK)) == (0, 0, 3, 0)


def test_a_book_without_tunes_is_a_failure(add_book, catalogue):
    (failure,) = add_book().failed
    assert failure.reason == "it holds no tunes"
    assert catalogue.song_ids() == []


def test_a_removed_song_comes_back_when_its_book_is_added_again(described, add_book):
    described.remove("reel")
    assert _counts(add_book(*BOOK)) == (1, 0, 2, 0)
    assert described.facts("reel") == {}


def test_an_update_of_one_book_leaves_another_alone(described, add_book, tmp_path):
    other = toy_file(tmp_path / "other.toy", ["1|Waltz|80"])
    add_files(described, [other], read=read_toy_file)
    add_book("1|March|50")
    assert described.song_ids() == ["march", "waltz-2"]
    assert described.entry("waltz-2").file == other.shown_as


def test_a_reading_that_another_process_has_filed_meanwhile_is_unchanged(catalogue, tmp_path):
    file = toy_file(tmp_path / "book.toy", BOOK)
    record = record_file(read_toy_file, file)
    reports = []
    for _ in range(2):
        with catalogue.writing() as connection:
            reports.append(file_record(connection, file, b"same digest", record))
    assert [_counts(report) for report in reports] == [(3, 0, 0, 0), (0, 0, 3, 0)]
