"""Tab in plain characters, and whether it is read back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.tuning import NAMED_TUNINGS, with_capo
from melodex.parsing.tab.text_tab import read_text_tab
from melodex.report.tab_text import WIDTH, tab_text
from tests.bundled import bundled_songs
from tests.moves import Move, moves, tab_of_moves
from tests.strategies import melody_of, song_of, songs
from tests.tabs import (
    as_text_and_back,
    fields,
    fingered,
    rolled_songs,
    small_tab,
    sounding,
    tab_of,
)


def read_back(lines):
    return tab_of(read_text_tab("\n".join(lines), "written.tab", "").songs[0])


def test_five_lines_stand_under_chords_and_numbers_and_over_the_fingers():
    song = next(song for song in rolled_songs() if song.title == "Attic Window")
    assert tab_text(tab_of(song), (3, 4)) == [
        "Title: Attic Window",
        "Tuning: open G (gDGBD)",
        "Key: G major",
        "Metre: 4/4",
        "Spacing: 2 characters = 1/8",
        "",
        "   C",
        "  3                 4",
        "D|-2-----2-----0---|-2-----2-----2---|",
        "B|---1-----1-----1-|---1-----1-----1-|",
        "G|-----------------|-----------0-----|",
        "D|-----------------|-----------------|",
        "g|-----0-----0-----|-----0-----------|",
        "   M I T M I T M I   M I T M I T M I",
    ]


@pytest.mark.parametrize("song", rolled_songs(), ids=lambda song: song.title)
def test_every_arrangement_of_the_songbook_is_read_back_note_for_note(song):
    tab = tab_of(song)
    back = read_back(tab_text(tab))
    assert sounding(back) == sounding(tab)
    assert back.song.title == song.title
    assert back.song.key == song.key
    assert back.song.metre == song.metre
    assert back.song.melody.measures.tolist() == song.melody.measures.tolist()
    assert back.song.remarks == ()


@pytest.mark.parametrize("collection", ["oneills1850", "airdsAirs"])
def test_bundled_tunes_are_read_back_note_for_note(collection):
    for song in bundled_songs(collection)[::60]:
        tab = fingered(song)
        assert sounding(read_back(tab_text(tab))) == sounding(tab), song.title


@given(song=songs(), tuning=st.sampled_from(NAMED_TUNINGS), capo=st.integers(0, 3))
def test_triplets_and_odd_rhythms_are_read_back_in_every_tuning(song, tuning, capo):
    tab = fingered(song, with_capo(tuning, capo))
    back = read_back(tab_text(tab))
    assert sounding(back) == sounding(tab)
    assert back.tuning == tab.tuning


def test_repeats_and_movements_of_the_left_hand_are_read_back():
    tab = small_tab()
    assert sounding(read_back(tab_text(tab))) == sounding(tab)
    assert {note.left_hand for note in tab.notes} == {"", "hammer-on", "pull-off"}
    repeated = [song for song in rolled_songs() if "ending" not in str(song.bar_lines)]
    for song in repeated:
        back = read_back(tab_text(tab_of(song))).song
        assert back.sections.tolist() == song.sections.tolist()


def test_no_line_is_wider_than_a_page_unless_one_measure_is():
    for song in rolled_songs():
        assert max(map(len, tab_text(tab_of(song)))) <= WIDTH + 4


def test_a_triplet_widens_its_own_line_alone():
    eighths = [0.5] * 8
    triplet = [1 / 3] * 3 + [1.0] * 3
    pitches = [55, 59, 62, 59, 55, 59, 62, 59] * 2 + [55, 57, 59, 62, 62, 62] + [55] * 8
    song = song_of(melody_of(*pitches, durations=[*eighths * 2, *triplet, *eighths]))
    tab = fingered(song)
    lines = tab_text(tab)
    assert [line for line in lines if line.startswith("Spacing")] == [
        "Spacing: 2 characters = 1/8",
        "Spacing: 2 characters = 1/12",
        "Spacing: 2 characters = 1/8",
    ]
    # A margin, and two characters for each eighth, or for each twelfth beside the triplet.
    widths = [[len(cell) for cell in line.split("|")[1:-1]] for line in lines if "D|" in line]
    assert widths[::2] == [[17, 17], [25], [17]]
    assert sounding(read_back(lines)) == sounding(tab)


def test_measures_that_the_song_does_not_have_are_named():
    with pytest.raises(QueryError, match="has no measures 30 to 31") as caught:
        tab_text(small_tab(), (30, 31))
    assert "measures 1 to 2" in caught.value.next_step


@given(moments=st.lists(moves(), min_size=1, max_size=12))
def test_what_each_string_does_is_read_back_also_when_several_sound_together(moments):
    tab = tab_of_moves(moments)
    assert fields(as_text_and_back(tab)) == fields(tab)


def test_a_hammer_on_under_a_struck_string_stays_on_its_own_string():
    hammer = [Move(2, 1, "", "I"), Move(3, 4, "hammer-on", "")]
    tab = tab_of_moves([[Move(3, 2, "", "T")], hammer])
    back = as_text_and_back(tab)
    assert [(note.string, note.left_hand) for note in back.notes[1:]] == [(2, ""), (3, "hammer-on")]


def test_a_slide_under_an_open_first_string_does_not_vanish():
    slide = [Move(1, 0, "", "M"), Move(3, 4, "slide", "")]
    back = as_text_and_back(tab_of_moves([[Move(3, 2, "", "T")], slide]))
    assert [(note.string, note.left_hand) for note in back.notes[1:]] == [(1, ""), (3, "slide")]


def test_fingers_of_a_pinch_stand_under_each_other_string_1_on_top():
    pinch = [Move(1, 0, "", "M"), Move(3, 0, "", ""), Move(5, 0, "", "T")]
    tab = tab_of_moves([pinch, [Move(3, 2, "", "T")]])
    assert [line.rstrip() for line in tab_text(tab)[-3:]] == ["   M T", "   .", "   T"]
