"""The list of notes passed to the player."""

import json
from dataclasses import replace

import pytest

from melodex.engraving.accompaniment import sounding_chord
from melodex.engraving.engrave_song import engrave
from melodex.engraving.sound import LEARNERS_TEMPO, Track, player_notes
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.abc.abc_reader import read_abc
from tests.engraved import ids_in
from tests.moves import Move, tab_of_moves
from tests.strategies import melody_of, song_of

SONG = song_of(melody_of(60, 62, 64, 65))


def abc(music, header="M:2/4\nL:1/4\nK:G\n"):
    (song,) = read_abc(f"X:1\nT:Gate\n{header}{music}\n", "gate.abc").songs
    return song


def document(song, **track):
    return json.loads(player_notes("Gate", [Track("Gate", song, engrave(song), **track)]))


def test_a_player_gets_every_note_with_its_time_pitch_and_elements():
    (track,) = document(SONG)["tracks"]
    assert [note[:3] for note in track["notes"]] == [
        [n, 1, p] for n, p in enumerate([60, 62, 64, 65])
    ]
    assert all(note[3] for note in track["notes"])
    assert track["length"] == 4


@pytest.mark.parametrize(
    ("metre", "beat", "measure"),
    [  # Common practice: a beat of 6/8 is a dotted quarter note.
        (Metre(4, 4), 1, 4),
        (Metre(6, 8), 1.5, 3),
        (Metre(2, 2), 2, 4),
        (FREE_METRE, 1, 0),
    ],
)
def test_a_count_in_gets_the_beats_of_the_metre(metre, beat, measure):
    told = document(replace(SONG, metre=metre))
    assert told["beat"] == beat
    assert told["tracks"][0]["measure"] == measure


def test_the_tempo_is_the_songs_own_or_a_learners():
    assert document(SONG)["tempo"] == LEARNERS_TEMPO
    assert document(replace(SONG, tempo=72.0))["tempo"] == 72


def test_a_name_cannot_end_the_script_that_holds_it():
    notes = player_notes("</script><b>&", [Track("<b>", SONG, engrave(SONG))])
    assert not set("<>&") & set(notes)
    assert json.loads(notes)["name"] == "</script><b>&"


def test_a_player_hears_what_the_left_hand_does_on_each_string():
    moments = [
        [Move(3, 2, "", "T")],
        [Move(1, 0, "", "M"), Move(3, 4, "slide", "")],
        [Move(2, 10, "choke", "I")],
        [Move(2, 8, "pull-off", "")],
    ]
    tab = tab_of_moves(moments)
    track = Track("Gate", tab.song, engrave(tab.song, tab=tab))
    notes = json.loads(player_notes("Gate", [track]))["tracks"][0]["notes"]
    assert [note[4] for note in notes] == [
        {},
        {},
        {"soft": True, "from": -2},
        {"to": 1},
        {"soft": True},
    ]


def test_grace_notes_sound_before_their_note_and_softly():
    (track,) = document(abc("G{Bc}A|B2|"))["tracks"]
    heard = [(note[0] - note[4].get("before", 0), note[2]) for note in track["notes"]]
    assert heard == [(0, 67), (0.75, 71), (0.875, 72), (1, 69), (2, 71)]
    assert track["notes"][1][4] == {"soft": True, "before": 0.25}


def test_each_grace_note_is_seen_where_it_sounds():
    song = abc("G{Bc}A|{d}B2|")
    engraving = engrave(song)
    graces = [note.elements for note in engraving.sounding if note.before_beats]
    assert len(graces) == len(set(graces)) == 3
    assert {name for names in graces for name in names} <= set(ids_in(engraving.svg))


def test_measures_come_as_they_are_played_with_their_beats():
    (track,) = document(abc("D|:G2|A2:|B|"))["tracks"]
    # number, place in the picture, onset, length, beats, whether the first is a first beat
    assert track["measures"] == [
        [0, 0, 0, 1, [0], 0],
        [1, 1, 1, 2, [0, 1], 1],
        [2, 2, 3, 2, [0, 1], 1],
        [1, 1, 5, 2, [0, 1], 1],
        [2, 2, 7, 2, [0, 1], 1],
        [3, 3, 9, 1, [0], 1],
    ]


def test_chords_come_as_they_are_played_and_hold_until_the_next():
    (track,) = document(abc('|:"G"G2|A"D7"A:|'))["tracks"]
    g, d7 = [43, [55, 59, 62]], [50, [54, 57, 60, 62]]
    assert track["chords"] == [
        [0, 2, *g], [2, 1, *g], [3, 1, *d7], [4, 2, *g], [6, 1, *g], [7, 1, *d7]
    ]  # fmt: skip
    assert not track["chordsEstimated"]


def test_a_song_without_chords_gets_estimated_ones_and_they_are_called_so():
    (track,) = document(abc("GB|dB|G2|"))["tracks"]
    assert track["chordsEstimated"]
    assert track["chords"][0][2] % 12 == 7  # on G


def test_what_is_no_chord_is_silent():
    assert sounding_chord("slowly") is None
