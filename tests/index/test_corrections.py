"""Corrections of songs: kept when a file is read again, and taken back."""

import sqlite3

import pytest

from melodex.errors import CatalogueError, QueryError, SongNotFoundError
from melodex.index.corrections import (
    KeptCorrection,
    correct,
    corrected_record,
    correction_of,
    undo_corrections,
)
from melodex.index.intake.build import add_files
from melodex.index.song_records import pack_song
from melodex.model.correction import Correction
from melodex.model.key import Key
from melodex.model.metre import Metre
from tests.index.toy_reader import read_toy_file, toy_file
from tests.strategies import melody_of, song_of

RENUMBERED = ["1|Polka|50", "2|Waltz|60 62 64 65 67 69", "3|Reel|65 67 69"]
BOOK = ["1|Waltz|60 62 64 65 67 69", "2|Reel|65 67 69"]
RIGHT = Correction("Walz", Key("C", "major"), Metre(3, 4), 1.0)


@pytest.fixture
def add_book(catalogue, tmp_path):
    """Write a book of tunes and add it; each call rewrites the same file."""

    def add(*tunes):
        return add_files(catalogue, [toy_file(tmp_path / "book.toy", tunes)], read=read_toy_file)

    return add


@pytest.fixture
def corrected(catalogue, add_book):
    """A catalogue of the book, its waltz corrected."""
    add_book(*BOOK)
    correct(catalogue, "waltz", RIGHT)
    return catalogue


def _facts(catalogue, song="waltz"):
    entry = catalogue.entry(song)
    return entry.title, entry.key, entry.metre, catalogue.song(song).melody.measures.tolist()


RIGHT_FACTS = ("Walz", "C major", "3/4", [0, 1, 1, 1, 2, 2])
READ_FACTS = ("Waltz", None, "4/4", [1, 1, 1, 1, 2, 2])


def test_a_correction_changes_the_song_under_its_id(corrected):
    assert _facts(corrected) == RIGHT_FACTS
    assert correction_of(corrected, "waltz") == RIGHT


def test_it_makes_what_is_derived_from_melodies_stale_unless_only_the_title_changed(corrected):
    version = corrected.melody_version()
    correct(corrected, "reel", Correction(title="Real"))
    assert corrected.melody_version() == version
    correct(corrected, "reel", Correction(key=Key("F", "major")))
    assert corrected.melody_version() != version


@pytest.mark.parametrize(
    "tunes",
    [
        pytest.param(BOOK, id="unchanged"),
        pytest.param(
            ["1|Polka|50", "2|Waltz|60 62 64 65 67 69", "3|Reel|65 67 69"], id="renumbered"
        ),
        pytest.param(["1|The Waltz|60 62 64 65 67 69", BOOK[1]], id="retitled"),
        pytest.param(["1|Waltz|61 62 64 65 67 69", BOOK[1]], id="other notes"),
        pytest.param([*BOOK, "3|Jig|70"], id="longer"),
    ],
)
def test_it_is_kept_when_the_file_is_read_again(corrected, add_book, tunes):
    add_book(*tunes)
    assert _facts(corrected) == RIGHT_FACTS


def test_a_song_that_is_read_as_before_is_unchanged(corrected, add_book):
    version = corrected.melody_version()
    report = add_book(*BOOK, "3|Jig|70")
    assert (report.added, report.updated, report.unchanged) == (1, 0, 2)
    undo_corrections(corrected, "waltz")
    assert corrected.melody_version() != version
    assert _facts(corrected) == READ_FACTS


def test_it_waits_for_a_song_that_was_removed(corrected, add_book):
    corrected.remove("waltz")
    add_book(*BOOK)
    assert _facts(corrected, "walz") == RIGHT_FACTS


def test_undoing_brings_back_what_the_file_says_now(corrected, add_book):
    add_book("1|Waltz|70 72", BOOK[1])
    undo_corrections(corrected, "waltz")
    assert _facts(corrected) == ("Waltz", None, "4/4", [1, 1])
    assert correction_of(corrected, "waltz") == Correction()


def test_further_corrections_begin_with_what_was_read(corrected):
    correct(corrected, "waltz", Correction(pickup=2.0))
    assert _facts(corrected) == (*RIGHT_FACTS[:3], [0, 0, 1, 1, 1, 2])


def test_one_that_no_longer_fits_is_a_remark_and_loses_no_song():
    read = pack_song(song_of(melody_of(60, 62)))  # in 4/4
    kept = KeptCorrection(None, Correction(pickup=5.0), read)
    (remark,) = corrected_record(read, kept).remarks
    assert "no longer fits" in remark
    assert corrected_record(read, kept).melody == read.melody


def test_a_correction_that_does_not_fit_changes_nothing(corrected):
    with pytest.raises(QueryError, match="not shorter than a measure"):
        correct(corrected, "waltz", Correction(title="Walzer", pickup=3.0))
    assert _facts(corrected) == RIGHT_FACTS


def test_nothing_to_undo_is_an_error(corrected):
    with pytest.raises(QueryError, match="Nothing has been corrected"):
        undo_corrections(corrected, "reel")


def test_a_song_that_is_not_there_cannot_be_corrected(corrected):
    with pytest.raises(SongNotFoundError, match="No song has the id 'polka'"):
        correct(corrected, "polka", RIGHT)


def test_what_was_read_is_checked_before_it_is_used(corrected):
    with sqlite3.connect(corrected.path) as connection:
        connection.execute("UPDATE correction SET notes = substr(notes, 1, 32)")
    connection.close()
    with pytest.raises(CatalogueError, match="damaged"):
        undo_corrections(corrected, "waltz")
