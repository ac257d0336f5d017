import pytest

from melodex.parsing.abc import abc_reader
from melodex.parsing.abc.abc_reader import read_abc
from tests.parsing.abc.abc_examples import TWO_GATES, pitches, song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.
TUNE = "X:{0}\nT:Tune {0}\nM:4/4\nL:1/4\nK:G\nGABc|defg|\n\n"


def test_a_book_with_headers_comments_endings_and_changes_of_metre_is_read():
    # Sources: sections 2.2.2, 2.2.5, 3.1.2, 3.2, 4.8, 4.9 and 6.1.1.
    reading = read_abc(TWO_GATES, "gates.abc")
    assert not reading.failures
    meadow, lower = reading.songs
    assert (meadow.title, meadow.other_titles) == ("Meadow Gate, The", ("Latch the Gate",))
    assert str(meadow.key) == "D major"
    assert str(meadow.metre) == "3/4"
    assert meadow.source.tune == "1"
    assert meadow.source.line == 6
    assert meadow.sections.tolist() == [[0, 12], [0, 24], [12, 36], [24, 36]]
    assert [str(change.metre) for change in lower.metre_changes] == ["12/8", "9/8"]
    assert lower.measures.numbers.tolist()[:6] == [0, 1, 2, 3, 4, 4]


def test_a_broken_tune_loses_no_other():
    broken = "X:25\nT:Broken\nK:G\nGABc|{deg\n\n"
    book = "".join(broken if n == 25 else TUNE.format(n) for n in range(1, 51))
    reading = read_abc(book, "fifty.abc")
    assert len(reading.songs) == 49
    (failure,) = reading.failures
    assert (failure.tune, failure.file) == ("25", "fifty.abc")
    assert failure.line == book.splitlines().index("GABc|{deg") + 1
    assert failure.reason == "grace notes are not closed with } (measure 2)"


def test_a_mistake_of_the_reader_itself_costs_one_tune(monkeypatch):
    read_tune = abc_reader.read_tune

    def fails_at_tune_2(tune, facts):
        if tune.lines[0] == "X:2":
            raise ZeroDivisionError("division by zero")
        return read_tune(tune, facts)

    monkeypatch.setattr(abc_reader, "read_tune", fails_at_tune_2)
    reading = read_abc("".join(TUNE.format(n) for n in (1, 2, 3)), "three.abc")
    assert [song.source.tune for song in reading.songs] == ["1", "3"]
    (failure,) = reading.failures
    assert (failure.tune, failure.line) == ("2", len(TUNE.splitlines()) + 1)
    assert failure.reason == "its reader failed (ZeroDivisionError: division by zero)"


@pytest.mark.parametrize(
    "title", ["&#" + "9" * 5_000 + ";", "&#99999999;", "&#x" + "F" * 5_000 + ";", "&#xD800;"]
)
def test_a_title_with_a_number_of_no_character_costs_no_tune(title):
    book = f"X:1\nT:One {title} two\nK:G\nGABc|\n\n{TUNE.format(2)}"
    reading = read_abc(book, "two.abc")
    assert [len(song.melody) for song in reading.songs] == [4, 8]
    assert reading.songs[0].title == "One \N{REPLACEMENT CHARACTER} two"


def test_file_header_holds_for_every_tune_and_a_tune_may_override_it():
    # Source: section 2.2.2.
    book = "M:6/8\nL:1/4\n\nX:1\nK:C\nA|\n\nX:2\nL:1/8\nK:C\nA|\n\nX:3\nK:C\nA|\n"
    songs = read_abc(book, "book.abc").songs
    assert [str(song.metre) for song in songs] == ["6/8"] * 3
    assert [song.melody.durations[0] for song in songs] == [1, 0.5, 1]


def test_free_text_between_tunes_is_no_music():
    # Source: section 2.2.3.
    book = TUNE.format(1) + "These lines | are free text, and a bad egg.\n\n" + TUNE.format(2)
    reading = read_abc(book, "book.abc")
    assert [len(song.melody) for song in reading.songs] == [8, 8]
    assert not reading.failures


def test_a_tune_begins_at_its_number_even_without_a_blank_line():
    book = TUNE.format(1).rstrip() + "\n" + TUNE.format(2)
    assert len(read_abc(book, "book.abc").songs) == 2


def test_an_indented_tune_is_read():
    book = TUNE.format(1).replace("\n", "\n  ") + "\n\n" + TUNE.format(2)
    assert [song.source.tune for song in read_abc(f"  {book}", "book.abc").songs] == ["1", "2"]


def test_comments_directives_and_unknown_fields_are_passed_over():
    # Source: sections 2.2.5, 3 (unknown fields must be ignored) and 11.0.2 (directives).
    body = (
        "%%newpage\nGA % Bc\n   % only a comment\n[r:remark]B[I:setbarnb 10]c\nY:what\nr:remark\nd"
    )
    assert pitches(body) == [67, 69, 71, 72, 74]


def test_music_that_goes_on_after_a_blank_line_is_read_and_remarked():
    reading = read_abc("X:1\nK:C\nCDEF|\n\nGABc|\n", "book.abc")
    assert reading.songs[0].melody.pitches.tolist() == [60, 62, 64, 65, 67, 69, 71, 72]
    assert "blank line at line 4" in reading.songs[0].remarks[0]


def test_a_tune_without_number_is_read_and_remarked():
    # Source: section 2.3.1, an embedded fragment.
    reading = read_abc("T:Major scale in D\nK:D\nDEFG ABcd|\n", "scale.abc")
    assert reading.songs[0].melody.pitches.tolist() == [62, 64, 66, 67, 69, 71, 73, 74]
    assert "X:" in reading.songs[0].remarks[0]


def test_a_tune_without_key_is_read_without_signature_and_remarked():
    song = read_abc("X:1\nT:No key\nfed|\n", "book.abc").songs[0]
    assert song.melody.pitches.tolist() == [77, 76, 74]
    assert song.key is None
    assert "K:" in song.remarks[0]


def test_a_tune_without_title_is_called_untitled():
    assert read_abc("X:1\nT:\nK:C\nC|\n", "book.abc").songs[0].title == "Untitled"


def test_a_single_note_is_a_tune():
    assert len(song_of("C").melody) == 1
