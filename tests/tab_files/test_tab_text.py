"""Tab in plain characters, and reading it back."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import BarLine, ChordSymbol, MetreChange
from melodex.model.tablature import TabNote
from melodex.model.tuning import NAMED_TUNINGS, OPEN_G, with_capo
from melodex.parsing.tab.text_tab import read_text_tab
from melodex.tab_files.tab_text import MELODY_LEGEND, tab_text
from melodex.tab_files.text_systems import WIDTH
from tests.bundled import bundled_songs
from tests.moves import Move, moves, tab_of_moves
from tests.strategies import melody_of, song_of, songs
from tests.tabs import (
    as_musicxml_and_back,
    as_text_and_back,
    facts,
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
        "Tempo: 104",
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
def test_every_arrangement_of_the_songbook_is_read_back_in_all_fields(song):
    tab = tab_of(song)
    back = as_text_and_back(tab)
    assert fields(back) == fields(tab)
    assert facts(back) == facts(tab)
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
    # A margin, and two characters for each eighth, or for each twelfth in the measure of the
    # triplet.
    widths = [[len(cell) for cell in line.split("|")[1:-1]] for line in lines if "D|" in line]
    assert widths[::2] == [[17, 17], [25], [17]]
    assert sounding(read_back(lines)) == sounding(tab)


def pinched(*fingers):
    """Return one measure of 4/4: a pinch of strings 1, 2, ... and then a melody note."""
    tab = fingered(song_of(melody_of(62, 55, durations=[2.0, 2.0])))
    pinch = [
        TabNote(0.0, 2.0, string, 0, finger=finger) for string, finger in enumerate(fingers, 1)
    ]
    return replace(tab, notes=(*pinch, TabNote(2.0, 2.0, 3, 0, finger="T", is_melody=True)))


def test_the_fingers_of_a_pinch_stand_under_each_other_and_a_brush_has_one_letter():
    # Column 3 is the first of the measure, after the string's name, the bar line and a margin.
    below = [line for line in tab_text(pinched("M", "I", "T")) if line.startswith("   ")]
    assert below == ["   M       T", "   I", "   T", "           ^"]
    brushed = [line for line in tab_text(pinched("T", "T", "T", "T")) if line.startswith("   ")]
    assert brushed == ["   T       T", "           ^"]


def test_a_sign_for_the_melody_is_explained_where_it_stands():
    assert MELODY_LEGEND in tab_text(pinched("M"))
    assert MELODY_LEGEND not in tab_text(small_tab())


@pytest.mark.parametrize(
    ("metre", "count"),
    [  # Common practice, no source.
        (Metre(4, 4), "1 & 2 & 3 & 4 &"),
        (Metre(2, 2), "1   &   2   &"),
        (Metre(6, 8), "1 2 3 4 5 6"),
        (Metre(12, 8), "1 & a 2 & a 3 &"),  # as far as the measure of this song goes
    ],
)
def test_a_measure_is_counted_in_a_line_of_its_own_if_wanted(metre, count):
    length = min(float(metre.measure_length), 4.0)
    song = replace(song_of(melody_of(62, durations=[length])), metre=metre)
    tab = fingered(song)
    assert f"   {count}" in tab_text(tab, count=True)
    assert f"   {count}" not in tab_text(tab)
    assert sounding(read_back(tab_text(tab, count=True))) == sounding(tab)


def test_a_pickup_is_counted_as_the_end_of_a_measure():
    song = next(song for song in rolled_songs() if song.title == "Attic Window")
    counted = tab_text(tab_of(song), (0, 1), count=True)
    assert "   3 & 4 &   1 & 2 & 3 & 4 &" in counted


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


def test_one_finger_that_brushes_several_strings_has_one_letter():
    brush = [Move(string, 0, "", "T") for string in (2, 3, 4)]
    tab = tab_of_moves([brush, [Move(1, 2, "", "M")]])
    assert tab_text(tab)[-1].rstrip() == "   T M"
    assert fields(as_text_and_back(tab)) == fields(tab)


def test_chords_too_close_for_one_row_stand_in_two_and_are_read_back():
    tab = small_tab()
    chords = tuple(ChordSymbol(at / 2, name) for at, name in enumerate(["Am7", "D7/F#", "G"]))
    chorded = replace(tab, song=replace(tab.song, chords=chords))
    assert as_text_and_back(chorded).song.chords == chords


def test_chords_behind_a_capo_are_read_as_they_sound():
    tab = small_tab()
    song = replace(tab.song, chords=(ChordSymbol(0.0, "A"), ChordSymbol(4.0, "D7/F#")))
    behind = replace(tab, song=song, tuning=with_capo(OPEN_G, 2))
    assert "   G" in "\n".join(tab_text(behind))
    assert as_text_and_back(behind).song.chords == song.chords


def test_a_repeat_that_only_the_playing_order_states_is_written_with_its_beginning():
    tab = tab_of_moves([[Move(1, 0, "", "M")]] * 32)
    bars = (
        BarLine(4.0, "ending", "1"),
        BarLine(8.0, "repeat end", "2"),
        BarLine(16.0, "repeat end"),
    )
    sections = [(0.0, 8.0), (0.0, 4.0), (8.0, 16.0), (12.0, 16.0)]
    song = replace(tab.song, bar_lines=bars, sections=np.array(sections))
    assert as_text_and_back(replace(tab, song=song)).song.sections.tolist() == [
        [0.0, 8.0],
        [0.0, 4.0],
        [8.0, 16.0],
        [12.0, 16.0],
    ]


@pytest.mark.parametrize(
    ("bars", "sections"),
    [
        ([BarLine(4.0, "repeat end")], [(0.0, 4.0)] * 2 + [(0.0, 16.0)]),
        (
            [BarLine(4.0, "repeat start"), BarLine(8.0, "repeat end")],
            [(0.0, 8.0)] + [(4.0, 8.0)] * 14 + [(4.0, 16.0)],
        ),
        ([BarLine(8.0, "double"), BarLine(16.0, "repeat end")], [(0.0, 16.0), (8.0, 16.0)]),
        ([BarLine(0.0, "final"), BarLine(8.0, "final"), BarLine(16.0, "double")], [(0.0, 16.0)]),
        ([BarLine(8.0, "double"), BarLine(16.0, "final")], [(0.0, 16.0)]),
    ],
)
def test_bar_lines_and_the_order_of_playing_come_back(bars, sections):
    tab = tab_of_moves([[Move(1, 0, "", "M")]] * 32)
    song = replace(tab.song, bar_lines=tuple(bars), sections=np.array(sections))
    tab = replace(tab, song=song)
    assert facts(as_text_and_back(tab)) == facts(tab)


def test_a_repeat_of_three_times_says_so_behind_its_line():
    tab = tab_of_moves([[Move(1, 0, "", "M")]] * 16)
    bars, sections = (BarLine(4.0, "repeat end"),), [(0.0, 4.0)] * 2 + [(0.0, 8.0)]
    song = replace(tab.song, bar_lines=bars, sections=np.array(sections))
    lines = tab_text(replace(tab, song=song))
    assert [line for line in lines if line.startswith("D|") and "0" in line] == [
        "D|-0-0-0-0-0-0-0-0--| x3".replace("0--|", "0--|"),
        "D|-0-0-0-0-0-0-0-0-|",
    ]


@pytest.mark.parametrize(
    "metres",
    [
        [(0.0, Metre(2, 4)), (4.0, Metre(3, 4)), (8.0, Metre(2, 4))],
        [(0.0, FREE_METRE), (4.0, Metre(5, 8, (2, 3)))],
        [(0.0, Metre(4, 4)), (8.0, FREE_METRE)],
    ],
)
def test_a_metre_and_its_changes_come_back(metres):
    tab = tab_of_moves([[Move(1, 0, "", "M")]] * 32)
    (_, first), *changes = metres
    changed = tuple(MetreChange(*change) for change in changes)
    tab = replace(tab, song=replace(tab.song, metre=first, metre_changes=changed))
    assert facts(as_text_and_back(tab)) == facts(tab)
    back = as_musicxml_and_back(tab)
    assert (back.song.metre, back.song.metre_changes) == (first, changed)


def test_measures_from_the_middle_are_headed_by_the_metre_that_holds_there():
    tab = tab_of_moves([[Move(1, 0, "", "M")]] * 32)
    changes = (MetreChange(4.0, Metre(2, 2)),)
    lines = tab_text(replace(tab, song=replace(tab.song, metre_changes=changes)), (3, 4))
    assert [line for line in lines if line.startswith("Metre")] == ["Metre: 2/2"]


@given(moments=st.lists(moves(), min_size=1, max_size=12), data=st.data())
def test_the_signs_of_the_melody_are_read_back(moments, data):
    tab = tab_of_moves(moments)
    chosen = {
        place * 0.5: data.draw(st.sampled_from([None, *(move.string for move in together)]))
        for place, together in enumerate(moments)
    }
    notes = tuple(replace(note, is_melody=chosen[note.onset] == note.string) for note in tab.notes)
    marked = replace(tab, notes=notes)
    for count in (False, True):
        assert fields(read_back(tab_text(marked, count=count))) == fields(marked)


def test_every_title_comes_back():
    tab = small_tab()
    song = replace(tab.song, other_titles=("The Latch", "Hinge"))
    assert facts(as_text_and_back(replace(tab, song=song)))["titles"] == (
        "Latch and Hinge",
        "The Latch",
        "Hinge",
    )


def test_some_measures_keep_their_numbers():
    (song,) = [song for song in rolled_songs() if song.title == "Attic Window"]
    back = read_back(tab_text(tab_of(song), (3, 4)))
    assert back.song.measures.numbers.tolist() == [3, 4]
