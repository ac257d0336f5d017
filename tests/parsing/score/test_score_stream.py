"""Notes, measures and repeats of MusicXML."""

import pytest

from tests.parsing.score.hand_scores import note, one_part, song_from

FORWARD = '<barline location="left"><repeat direction="forward"/></barline>'
BACKWARD = '<barline location="right"><repeat direction="backward"/></barline>'
FINAL = '<barline location="right"><bar-style>light-heavy</bar-style></barline>'


def ending(number: str, kind: str, *, repeat: bool = False) -> str:
    side = "left" if kind == "start" else "right"
    back = '<repeat direction="backward"/>' if repeat else ""
    return f'<barline location="{side}"><ending number="{number}" type="{kind}"/>{back}</barline>'


def tie(kind: str) -> str:
    return f'<tie type="{kind}"/>'


def test_a_pickup_is_measure_0_and_its_notes_are_weak(tmp_path):
    song = song_from(
        tmp_path, one_part(note("D4"), note("G4", 4), note("A4", 4), numbers=["0", "1", "2"])
    )
    assert song.melody.measures.tolist() == [0, 1, 2]
    assert song.melody.onsets.tolist() == [0, 1, 5]
    # The pickup is on the fourth beat of 4/4. Source: music21's beat strengths.
    assert song.melody.beat_strengths.tolist() == [0.25, 1, 1]


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        (["1", "2", "3"], [1, 2, 3]),
        (["5", "6", "7"], [5, 6, 7]),
        (["1", "X1", "2"], [1, 1, 2]),  # the second part of a divided measure
        (["1", "1a", "2"], [1, 1, 2]),
        (["0", "0", "0"], [1, 2, 3]),  # numbers that do not distinguish measures
        (["7", "8", "3"], [1, 2, 3]),
    ],
)
def test_measures_have_the_numbers_written(tmp_path, written, kept):
    song = song_from(tmp_path, one_part(*[note("G4", 4)] * 3, numbers=written))
    assert song.measures.numbers.tolist() == kept


def test_a_repeat_is_played_twice_and_kept_as_a_bar_line(tmp_path):
    a, b, c = note("G4", 4), note("A4", 4), note("B4", 4)
    song = song_from(tmp_path, one_part(a, FORWARD + b + BACKWARD, c + FINAL))
    assert song.sections.tolist() == [[0, 8], [4, 12]]
    assert [(line.onset, line.style) for line in song.bar_lines] == [
        (4, "repeat start"),
        (8, "repeat end"),
        (12, "final"),
    ]
    assert len(song.melody) == 3


def test_first_and_second_endings_are_played_in_turn(tmp_path):
    song = song_from(
        tmp_path,
        one_part(
            note("G4", 4),
            ending("1", "start") + note("A4", 4) + ending("1", "stop", repeat=True),
            ending("2", "start") + note("B4", 4) + ending("2", "stop"),
            note("D5", 4),
        ),
    )
    assert song.sections.tolist() == [[0, 8], [0, 4], [8, 16]]
    assert [(line.onset, line.style, line.ending) for line in song.bar_lines] == [
        (4, "ending", "1"),
        (8, "repeat end", "2"),
    ]


def test_a_repeat_marked_three_times_is_played_three_times(tmp_path):
    thrice = BACKWARD.replace('"backward"', '"backward" times="3"')
    song = song_from(tmp_path, one_part(note("G4", 4) + thrice, note("A4", 4)))
    assert song.sections.tolist() == [[0, 4], [0, 4], [0, 8]]


def test_an_ending_for_two_passes_is_played_in_both(tmp_path):
    song = song_from(
        tmp_path,
        one_part(
            note("G4", 4),
            ending("1, 2", "start") + note("A4", 4) + ending("1, 2", "stop", repeat=True),
            ending("3", "start") + note("B4", 4) + ending("3", "discontinue"),
        ),
    )
    assert song.sections.tolist() == [[0, 8], [0, 8], [0, 4], [8, 12]]


def test_tied_notes_are_one_note_across_the_bar(tmp_path):
    song = song_from(
        tmp_path,
        one_part(
            note("G4", 3) + note("A4", 1, more=tie("start")),
            note("A4", 4, more=tie("stop") + tie("start")),
            note("A4", 1, more=tie("stop")) + note("A4", 3),
        ),
    )
    assert song.melody.onsets.tolist() == [0, 3, 9]
    assert song.melody.durations.tolist() == [3, 6, 3]


def test_triplets_are_exact_to_the_rounding_of_binary(tmp_path):
    three_for_two = "<actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
    value = f"<type>eighth</type><time-modification>{three_for_two}</time-modification>"
    triplet = "".join(note(pitch, 1 / 3, more=value) for pitch in ("G4", "A4", "B4"))
    song = song_from(tmp_path, one_part(triplet + note("D5")))
    assert song.melody.onsets == pytest.approx([0, 1 / 3, 2 / 3, 1], abs=1e-12)


def test_grace_notes_belong_to_the_note_that_follows(tmp_path):
    song = song_from(
        tmp_path,
        one_part(note("G4", 2) + note("A4", 0) + note("B4", 0) + note("C5", 2) + note("D5", 0)),
    )
    assert song.melody.pitches.tolist() == [67, 72]
    assert song.melody.grace_notes.pitches.tolist() == [69, 71, 74]
    assert song.melody.grace_notes.notes.tolist() == [1, 1, 1]  # the last has none to follow it


def test_of_a_chord_the_highest_note_is_the_melodys(tmp_path):
    chord = note("G4", 4) + note("B4", 4, more="<chord/>") + note("D4", 4, more="<chord/>")
    song = song_from(tmp_path, one_part(chord))
    assert song.melody.pitches.tolist() == [71]
    assert song.melody.chord_tones.pitches.tolist() == [67, 62]


def test_syllables_stand_at_their_notes(tmp_path):
    words = "<lyric><syllabic>single</syllabic><text>{}</text></lyric>"
    song = song_from(
        tmp_path,
        one_part(
            note("G4", more=words.format("Gate"))
            + note("A4")
            + note("B4", more=words.format("green"))
        ),
    )
    assert [(word.note, word.text) for word in song.lyrics] == [(0, "Gate"), (2, "green")]


def test_of_two_voices_the_first_is_the_melody(tmp_path):
    song = song_from(
        tmp_path,
        one_part(
            note("G4", 2)
            + note("A4", 2)
            + "<backup><duration>48</duration></backup>"
            + note("C5", 4, voice=2)
        ),
    )
    assert song.melody.pitches.tolist() == [67, 69]
