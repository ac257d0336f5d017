"""A lick carried with all that the hands do: strings, slurs, fingers, pinches and drone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.placing.lick_placement import places_for, with_lick
from melodex.features.chords import chords_of
from melodex.model.tuning import OPEN_G
from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.lick_tab import lick_from_tab
from melodex.search.query import lick_from_abc
from tests.hand_checker import (
    impossible_fingers,
    impossible_slurs,
    repeated_fingers,
    techniques,
)

SONG = '"G"G,2B,2D2B,2|"C"C2E2G2E2|"D7"A,2D2F2D2|"G"G,2B,2D2G,2|"C"E2C2G,2C2|"G"G,8|'
# A slide into a pinch, a choke, a hammer-on that passes over another string.
LICK = "3:2T 3:s4+1:0M 5:0T 2:c3I 3:0T 1:0 3:h2 5:0"


def song(music=SONG, metre="4/4"):
    text = f"X:1\nT:Rope and Pail\nM:{metre}\nL:1/8\nK:G\n{music}\n"
    return fingered_tab(read_abc(text, "", collection="").songs[0])


def placed(tab, lick):
    return places_for(tab, chords_of(tab.song)[0], lick)[0]


def own_notes(lick):
    assert lick.hands is not None
    return lick.hands.notes


def test_at_its_own_pitch_a_lick_keeps_strings_frets_and_techniques():
    lick = lick_from_tab(LICK)
    kept = [place for place in placed(song(), lick) if place.fit.transposition == 0]
    assert kept
    for place in kept:
        assert techniques(place.notes, place.window.begin) == techniques(own_notes(lick))
        assert place.fit.hands_kept == "strings and frets"


def test_fingers_that_are_stated_are_kept_and_the_others_chosen():
    lick = lick_from_tab(LICK)
    place = next(place for place in placed(song(), lick) if place.fit.transposition == 0)
    assert [note.finger for note in place.notes] == ["T", "M", "", "T", "I", "T", "M", "", "T"]


@pytest.mark.parametrize("half_steps", [5, 7])
def test_the_drone_stays_and_slurs_stay_on_one_string_where_a_lick_moves(half_steps):
    lick = lick_from_tab("3:0 5:0 3:2 3:h4 5:0 2:0 2:1 5:0")
    roots = {5: '"C"', 7: '"D"'}
    tab = song(f"{roots[half_steps]}C2E2G2E2|C2E2G2E2|")
    moved = [place for place in placed(tab, lick) if place.fit.transposition]
    for place in moved:
        drones = [note.onset for note in place.notes if (note.string, note.fret) == (5, 0)]
        begin = place.window.begin
        assert {begin + 0.5, begin + 2, begin + 3.5} <= set(drones)
        assert [*impossible_slurs(place.notes)] == []
        assert [note.left_hand for note in place.notes if note.left_hand] == ["hammer-on"]
        assert place.fit.hands_kept in ("strings", "drone at most")
        others = [n for n in place.notes if n.onset not in drones]
        assert [OPEN_G.pitch(n.string, n.fret) for n in others] == [
            OPEN_G.pitch(n.string, n.fret) + place.fit.transposition
            for n in own_notes(lick)
            if n.string != 5
        ]


def test_a_slur_that_the_lick_cuts_off_is_struck_by_a_finger_that_is_free():
    pulled = with_lick(song(), placed(song(), lick_from_tab("1:4:h 1:p2"))[0])
    lick = lick_from_tab("3:0:q 2:0 1:0 1:2")
    for place in placed(pulled, lick):
        assert [*impossible_slurs(with_lick(pulled, place).notes)] == []


strings_and_frets = st.tuples(st.integers(1, 5), st.sampled_from([0, 0, 1, 2, 3])).filter(
    lambda place: place[0] != 5 or place[1] == 0
)


@given(st.lists(strings_and_frets, min_size=8, max_size=8))
def test_fingers_take_turns_wherever_the_strings_allow_it(places):
    lick = lick_from_tab(" ".join(f"{string}:{fret}" for string, fret in places))
    tab = song()
    for place in placed(tab, lick)[:3]:
        assert [*impossible_fingers(place.notes)] == []
        changed = with_lick(tab, place).notes
        twice = {*repeated_fingers(changed, place.window.begin, place.window.end)}
        # Beside the short string, which no other finger plays: T on 5, I and T on 3, T on 5.
        assert all(finger == "T" for _, finger in twice)
        on_five = [note.onset for note in changed if note.string == 5]
        assert all(onset in on_five or onset - 0.5 in on_five for onset, _ in twice)
        assert bool(twice) == place.fit.finger_twice


def test_a_finger_of_the_song_changes_where_the_lick_cannot_take_turns_with_it():
    tab = song('"G"G,DB,D G,DB,D|"G"DG,B,D DG,B,D|"G"DG,B,D DG,B,D|"G"G,8|')
    lick = lick_from_tab("1:0 2:0 3:0 5:0 1:0 2:0 1:0 5:0")  # the thumb last, on the short string
    for place in placed(tab, lick):
        changed = with_lick(tab, place).notes
        assert [*repeated_fingers(changed, place.window.begin, place.window.end)] == []


def test_a_lick_over_c_finds_the_measures_of_c_first():
    places = placed(song(), lick_from_abc("M:4/4\nL:1/8\nK:C\nC2G2E2C2|"))
    assert {place.measures[0] for place in places[:2]} == {2, 5}
    assert [place.fit.transposition for place in places[:2]] == [0, 0]


@pytest.mark.parametrize("given_as", ["notes", "chord"])
def test_a_lick_over_d7_never_stands_on_the_last_tonic(given_as):
    chord = '"D7"' if given_as == "chord" else ""
    lick = lick_from_abc(f"M:4/4\nL:1/8\nK:G\n{chord}A2F2C2D2|")
    places = placed(song(), lick)
    assert places[0].measures == (3, 3)
    assert 6 not in [place.measures[-1] for place in places]


def test_a_triad_may_stand_on_the_last_tonic():
    places = placed(song(), lick_from_abc("M:4/4\nL:1/8\nK:G\nG,2D2B,2G,2|"))
    assert 6 in [place.measures[-1] for place in places]


SIXTEENTHS = "G,/D/B,/D/ G,/D/B,/D/|C/E/G/E/ C/E/G/E/|"


@pytest.mark.parametrize(
    ("music", "form", "length"),
    [
        (SIXTEENTHS * 2, "note values halved", 2.0),
        ("G,DB,D|CEGE|" * 2, "each measure over two", 4.0),
    ],
    ids=["a song in sixteenths", "a song in eighths"],
)
def test_a_lick_in_four_goes_into_a_song_in_two_at_the_songs_pace(music, form, length):
    lick = lick_from_tab("3:2T 3:h4 5:0 1:0 3:0 2:0 5:0 1:0")
    places = placed(song(music, "2/4"), lick)
    assert places
    for place in places:
        assert place.form == form
        assert place.window.end - place.window.begin == length
        assert place.window.begin % 2 == 0
        assert place.notes[1].left_hand == "hammer-on"


def test_a_lick_in_two_goes_into_a_song_in_four():
    lick = lick_from_abc("M:2/4\nL:1/8\nK:G\nG,/D/B,/D/ G,/D/B,/D/|")
    (form,) = {place.form for place in placed(song("G,DB,D G,DB,D|CEGE CEGE|"), lick)}
    assert form == "note values doubled"
