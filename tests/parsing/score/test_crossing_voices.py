"""Voices that move between the staves of a part."""

import pytest

from tests.parsing.score.hand_scores import attributes, note, part, score, song_from

STAVES = attributes(more="<staves>2</staves>")
BACK = "<backup><duration>48</duration></backup>"
ONE_STAFF = "Read staff 1 of 2; the other is left out."


def notes(*pitches: str, staff: int, voice: int = 1, quarters: float = 1) -> str:
    return "".join(note(pitch, quarters, staff=staff, voice=voice) for pitch in pitches)


def piano(*measures: str) -> str:
    return score(part(STAVES + measures[0], *measures[1:]))


def test_a_melody_that_moves_to_the_lower_staff_is_read_whole(tmp_path):
    # 5 notes on the upper staff and 18 on the lower, which also has an accompaniment.
    bass = BACK + notes("C3", staff=2, voice=5, quarters=4)
    song = song_from(
        tmp_path,
        piano(
            notes("C5", "D5", "E5", "F5", staff=1) + bass,
            notes("G5", staff=1) + notes("F4", "E4", "D4", staff=2) + bass,
            *[notes("C4", "D4", "E4", "F4", staff=2) + bass] * 3,
            notes("C4", "D4", "E4", staff=2) + notes("rest", staff=2) + bass,
        ),
    )
    assert len(song.melody) == 23
    assert song.melody.pitches.tolist()[4:8] == [79, 65, 64, 62]
    assert song.remarks == (ONE_STAFF,)


def test_a_melody_below_another_voice_of_the_upper_staff_is_still_the_melody(tmp_path):
    second = BACK + notes("G5", staff=1, voice=2, quarters=4)
    low = notes("C4", "D4", "E4", "F4", staff=2)
    song = song_from(
        tmp_path, piano(notes("C5", staff=1) + notes("C4", "D4", "E4", staff=2) + second, low)
    )
    assert song.melody.pitches.tolist() == [72, 60, 62, 64, 60, 62, 64, 65]


def test_an_accompaniment_that_reaches_up_stays_on_its_staff(tmp_path):
    reaching = BACK + notes("C3", "E3", staff=2, voice=5) + notes("G4", "C5", staff=1, voice=5)
    low = BACK + notes("C3", "D3", "E3", "F3", staff=2, voice=5)
    melody = notes("C5", "D5", "E5", "F5", staff=1)
    song = song_from(tmp_path, piano(melody + reaching, melody + low, notes("rest", staff=1) + low))
    assert song.melody.pitches.tolist() == [72, 74, 76, 77] * 2


@pytest.mark.parametrize("top_alone", [False, True])
def test_staves_that_number_their_voices_anew_are_kept_apart(tmp_path, top_alone):
    # Each staff has a voice 1 of its own, at the same time.
    top, bottom = notes("C5", "D5", staff=1, quarters=2), notes("C3", "D3", staff=2, quarters=2)
    second = top if top_alone else top + BACK + bottom
    song = song_from(tmp_path, piano(top + BACK + bottom, second))
    assert song.melody.pitches.tolist() == [72, 74] * 2


def test_there_a_voice_is_followed_from_note_to_note(tmp_path):
    bottom = BACK + notes("C3", "D3", staff=2, quarters=2)
    crossing = notes("C5", "D5", "E5", staff=1) + notes("B3", staff=2)
    song = song_from(
        tmp_path, piano(notes("C5", "D5", staff=1, quarters=2) + bottom, crossing + bottom)
    )
    assert song.melody.pitches.tolist() == [72, 74, 72, 74, 76, 59]


def test_a_chord_across_two_staves_is_one_chord(tmp_path):
    low = note("C4", 4, staff=2, more="<chord/>")
    song = song_from(tmp_path, piano(notes("C5", staff=1, quarters=4) + low))
    assert song.melody.pitches.tolist() == [72]
    assert song.melody.chord_tones.pitches.tolist() == [60]
    assert song.remarks == ()
