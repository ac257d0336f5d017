"""What comes along with a lick cut from a song or read from a file."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.index.store import open_catalogue
from melodex.search.query import lick_from_abc, lick_from_file, lick_from_song
from tests.tabs import SMALL, small_tab


@pytest.fixture
def latch(tmp_path):
    path = tmp_path / "latch.tab"
    path.write_text(SMALL, encoding="utf-8")
    return path


@pytest.fixture
def catalogue(latch, tmp_path):
    with open_catalogue(tmp_path / "songs", create=True) as opened:
        add_songs(opened, [latch])
        yield opened


def test_a_lick_from_a_file_is_played_as_the_file_says(latch):
    lick = lick_from_file(latch)
    assert lick.hands is not None
    assert lick.hands.notes == small_tab().notes
    assert lick.hands.open_strings == (62, 59, 55, 50, 67)


def test_a_lick_cut_from_a_song_has_all_that_sounds_there(catalogue):
    lick = lick_from_song(catalogue, "Latch and Hinge", measures=1)
    assert lick.hands is not None
    assert lick.hands.notes == tuple(note for note in small_tab().notes if note.onset < 4)


def test_a_slur_whose_first_note_is_not_in_the_lick_is_struck_with_a_remark(tmp_path):
    path = tmp_path / "pulled.tab"
    path.write_text(
        SMALL.replace("0-------|-----2p0---2-------|", "2-------|p0---2-------2-----|"),
        encoding="utf-8",
    )
    with open_catalogue(tmp_path / "songs", create=True) as opened:
        add_songs(opened, [path])
        lick = lick_from_song(opened, "Latch and Hinge", measures=2)
    assert lick.hands is not None
    assert lick.hands.notes[0].left_hand == ""
    assert lick.remarks == (
        "The lick begins after the first note of a pull-off; its second note is struck.",
    )


def test_a_lick_without_tab_names_no_strings():
    assert lick_from_abc("DEG2 BAGE").hands is None


def test_the_chord_that_sounds_as_a_lick_begins_is_its_own(tmp_path):
    path = tmp_path / "two.abc"
    path.write_text(
        'X:1\nT:Two Sheds\nM:4/4\nL:1/4\nK:G\n"C"CEGE|EGEC|"G"GBdB|\n', encoding="utf-8"
    )
    with open_catalogue(tmp_path / "songs", create=True) as opened:
        add_songs(opened, [path])
        lick = lick_from_song(opened, "Two Sheds", measures=(2, 3))
    assert [(chord.onset, chord.text) for chord in lick.chords] == [(4.0, "C"), (8.0, "G")]
