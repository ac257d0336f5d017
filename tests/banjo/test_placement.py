"""Placing a lick in a song: where, at which pitch, and how the song changes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.fretboard import range_of
from melodex.banjo.placing.lick_placement import places_for, with_lick
from melodex.banjo.placing.placement_fit import fit_of
from melodex.errors import MelodyError
from melodex.features.chords import chords_of
from melodex.model.lick import Lick
from melodex.model.metre import Metre
from melodex.model.results.placement import LickFit
from melodex.model.tuning import OPEN_G
from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.lick_numbers import lick_from_notes
from melodex.search.query import lick_from_abc
from tests.tabs import small_tab

# Chords change each measure; measure 3 holds a note. G is the third string, open.
MUSIC = '"G"G,2B,2D2B,2|"C"C2E2G2E2|"D7"A,8|"G"G,2B,2D2G,2|'
LICK = lick_from_abc("M:4/4\nL:1/8\nK:G\nA2F2D2A2|")  # a D chord, an octave up

NOTE_ARRAYS = ("pitches", "onsets", "durations", "measures", "beat_strengths", "strings", "frets")


def tab_of(music=MUSIC, key="G"):
    text = f"X:1\nT:Peat and Reed\nM:4/4\nL:1/8\nK:{key}\n{music}\n"
    (song,) = read_abc(text, "", collection="").songs
    return fingered_tab(song)


def placed(tab, lick=LICK):
    return places_for(tab, chords_of(tab.song)[0], lick)


def fit(**changes):
    plain = LickFit(
        chord_notes=0.8,
        key_notes=1.0,
        room=0.2,
        likeness=0.4,
        leap_in=2,
        leap_out=-2,
        hand_in=0,
        hand_out=0,
        transposition=0,
        octaves=0,
    )
    return replace(plain, **changes)


def test_a_broken_chord_goes_where_its_chord_sounds_and_the_song_waits():
    places, already = placed(tab_of())
    assert places[0].measures == (3, 3)
    assert places[0].fit.kind == "fill"
    assert places[0].fit.chord_notes == 1
    assert already == []


@pytest.mark.parametrize(("measure", "half_steps"), [(1, 5), (2, 10), (4, 5)])
def test_over_another_chord_it_is_moved_to_that_chord(measure, half_steps):
    places, _ = placed(tab_of())
    (place,) = [place for place in places if place.measures[0] == measure]
    assert place.fit.transposition % 12 == half_steps
    assert place.fit.chord_notes == 1


def test_where_the_song_has_the_lick_already_it_is_not_proposed():
    places, already = placed(tab_of(MUSIC.replace("A,8", "A2F2D2A2")))
    assert [place.measures for place in already] == [(3, 3)]
    assert (3, 3) not in [place.measures for place in places]


def test_the_longest_span_of_notes_that_the_neck_lacks_is_refused():
    lowest, highest = range_of(OPEN_G)
    wide = lick_from_notes([lowest, highest + 1], [0, 1], [1, 1])
    with pytest.raises(MelodyError, match="the neck has 34"):
        placed(tab_of(), wide)


def test_a_lick_stays_on_the_neck_however_low_the_song_lies():
    deep = lick_from_abc("M:4/4\nL:1/8\nK:G\nG2 D2 G,2 D,2|")
    places, _ = placed(tab_of('"G"D,2E,2D,2E,2|"G"D,2E,2G,2E,2|"G"D,8|'), deep)
    assert len(places) == 3
    for place in places:
        pitches = [OPEN_G.pitch(note.string, note.fret) for note in place.notes]
        assert pitches == (deep.melody.pitches + place.fit.transposition).tolist()


def test_every_side_of_a_fit_counts():
    best = fit_of(fit())
    worse = [
        fit(chord_notes=0.5),
        fit(key_notes=0.5),
        fit(likeness=0.3),
        fit(leap_in=14),
        fit(leap_out=-14),
        fit(hand_in=2),
        fit(hand_out=2),
        fit(hands_kept="drone at most"),
        fit(own_chord=0.5),
        fit(passes_own_chord=True),
        fit(transposition=3),
        fit(finger_twice=True),
        fit(strains=True),
    ]
    assert all(fit_of(each) < best for each in worse)


def test_a_lick_from_tab_keeps_its_strings_and_gets_fingers():
    source = small_tab().song.melody  # b3 on string 2 open, g4 on string 5 open, c4 ...
    notes = np.arange(5)
    melody = replace(
        source,
        **{name: getattr(source, name)[notes] for name in NOTE_ARRAYS},
        phrase_ends=np.empty(0, np.int32),
    )
    places, _ = placed(tab_of('"G"G,8|"G"G,8|'), Lick(melody, "tab", Metre(4, 4)))
    assert [note.string for note in places[0].notes] == melody.strings.tolist()
    assert [note.finger for note in places[0].notes] == ["I", "T", "I", "T", "M"]


def test_nothing_speaks_against_a_perfect_fit():
    assert fit_of(fit(chord_notes=1.0, likeness=1.0)) == pytest.approx(1)


def test_a_note_hammered_from_one_that_gave_way_is_struck():
    tab = small_tab()  # its second measure begins with a pull-off on string 1
    lick = lick_from_notes([59, 59, 59, 59], [0, 1, 2, 3], [1, 1, 1, 1])
    places = placed(tab, lick)[0]
    for place in places:
        changed = with_lick(tab, place)
        numbers = {(note.onset, note.string) for note in changed.notes}
        for note in changed.notes:
            if note.left_hand:
                start = max(
                    on for on, string in numbers if string == note.string and on < note.onset
                )
                before = next(
                    n for n in changed.notes if (n.onset, n.string) == (start, note.string)
                )
                assert before in tab.notes


@given(st.lists(st.integers(50, 70), min_size=4, max_size=4), st.integers(0, 3))
def test_any_placed_lick_sounds_as_given_and_the_rest_of_the_song_stays(pitches, rank):
    tab = tab_of()
    lick = lick_from_notes(pitches, [0, 1, 2, 3], [1, 1, 1, 1])
    places, _ = placed(tab, lick)
    if rank >= len(places):
        return
    place = places[rank]
    changed = with_lick(tab, place)
    begin, end = place.window.begin, place.window.end
    inside = [changed.pitch(note) for note in changed.notes if begin <= note.onset < end]
    assert inside == (np.array(pitches) + place.fit.transposition).tolist()
    for side in (lambda note: note.onset < begin, lambda note: note.onset >= end):
        assert [*filter(side, changed.notes)] == [*filter(side, tab.notes)]
