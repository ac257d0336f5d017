"""The list of notes that a player gets."""

import json
from dataclasses import replace

import pytest

from melodex.engraving.engrave_song import engrave
from melodex.engraving.sound import LEARNERS_TEMPO, Track, player_notes
from melodex.model.metre import FREE_METRE, Metre
from tests.moves import Move, tab_of_moves
from tests.strategies import melody_of, song_of

SONG = song_of(melody_of(60, 62, 64, 65))


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
