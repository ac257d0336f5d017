"""Elements of a MusicXML document that affect only appearance, and those that sound."""

import pytest

from melodex.parsing.score.musicxml_document import MOST_MEASURES
from tests.parsing.score.hand_scores import attributes, note, one_part, part, score, song_from


def test_a_da_capo_is_remarked_and_not_followed(tmp_path):
    words = "<direction-type><words>D.C.</words></direction-type>"
    jump = f'<direction>{words}<sound dacapo="yes"/></direction>'
    song = song_from(tmp_path, one_part(note("G4", 4), note("A4", 4) + jump))
    assert song.sections.tolist() == [[0, 8]]
    assert "da capo" in song.remarks[0]


def test_a_cue_note_is_silence(tmp_path):
    song = song_from(
        tmp_path, one_part(note("G4", 2).replace("<pitch>", "<cue/><pitch>") + note("A4", 2))
    )
    assert song.melody.pitches.tolist() == [69]
    assert song.melody.onsets.tolist() == [2]


def test_words_after_the_end_of_a_measure_do_not_make_it_longer(tmp_path):
    words = "<direction-type><words>fine</words></direction-type>"
    late = f"<direction>{words}<offset>30</offset></direction>"
    song = song_from(tmp_path, one_part(note("G4", 4) + late, note("A4", 4)))
    assert song.measures.onsets.tolist() == [0, 4]


def test_a_score_written_measure_by_measure_is_read_as_one_written_part_by_part(tmp_path):
    # Source: MusicXML 4.0, score-timewise.
    document = score(part(attributes() + note("G4", 4), note("A4", 4)))
    start, end = document.index('<part id="P1">'), document.index("</score-partwise>")
    first = f'<measure number="1"><part id="P1">{attributes()}{note("G4", 4)}</part></measure>'
    second = f'<measure number="2"><part id="P1">{note("A4", 4)}</part></measure>'
    timewise = (document[:start] + first + second + document[end:]).replace("partwise", "timewise")
    song = song_from(tmp_path, timewise)
    assert song.melody.pitches.tolist() == [67, 69]
    assert song.melody.measures.tolist() == [1, 2]


@pytest.mark.parametrize("tempo", ["1e999", "nan", "-5", "0", "0.00", "9" * 5000, "quick"])
def test_a_tempo_that_music_cannot_have_is_left_out(tmp_path, tempo):
    metronome = f"<beat-unit>quarter</beat-unit><per-minute>{tempo}</per-minute>"
    mark = f"<direction-type><metronome>{metronome}</metronome></direction-type>"
    stated = f'<direction>{mark}<sound tempo="{tempo}"/></direction><sound tempo="{tempo}"/>'
    assert song_from(tmp_path, one_part(stated + note("G4", 4))).tempo is None


@pytest.mark.parametrize("number", ["9" * 30, "9" * 5000, "-" + "9" * 30, "\N{SUPERSCRIPT TWO}"])
def test_a_measure_number_that_no_score_has_counts_as_none(tmp_path, number):
    song = song_from(tmp_path, one_part(note("G4", 4), note("A4", 4), numbers=["1", number]))
    assert song.melody.pitches.tolist() == [67, 69]


@pytest.mark.parametrize("quarters", [4, 1, 0])
def test_a_score_of_ten_thousand_measures_is_read(tmp_path, quarters):
    # This once took 40 seconds for 4,000 measures shorter than their metre; no time is tested here.
    measures = [note("G4", 4), *[note("G4", quarters)] * (MOST_MEASURES - 1)]
    melody = song_from(tmp_path, one_part(*measures)).melody
    assert len(melody) + len(melody.grace_notes.pitches) == MOST_MEASURES


def test_a_measure_without_notes_lasts_as_long_as_its_metre(tmp_path):
    # As music21 reads it; some programs omit the rest.
    chord = "<harmony><root><root-step>D</root-step></root><kind>major</kind></harmony>"
    song = song_from(tmp_path, one_part(note("G4", 4), chord, note("A4", 2)))
    assert song.measures.onsets.tolist() == [0, 4, 8]
    assert [(each.onset, each.text) for each in song.chords] == [(4, "D")]
