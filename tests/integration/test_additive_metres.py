"""Tunes in additive metres, from the file to tab, rolls and engraved music."""

from fractions import Fraction

import pytest

from melodex.banjo.arranger.arranging import arrange
from melodex.engraving.engrave_song import engrave
from melodex.model.metre import Metre
from melodex.notation.metre_weights import beats_of, cut_at_beats
from tests.parsing.abc.abc_examples import song_of
from tests.parsing.score.hand_scores import note, one_part, song_from

ADDITIVE = {
    "5+3/8": (5, 3),
    "(5+2)/8": (5, 2),
    "6+4/8": (6, 4),
    "2+2+3/8": (2, 2, 3),
    "1+1+5/4": (1, 1, 5),
}


def eight_notes():
    return "".join(note(name, 0.5) for name in ("G4", "A4", "B4", "C5", "D5", "B4", "A4", "G4"))


@pytest.mark.parametrize("text", ADDITIVE)
def test_abc_keeps_the_groups_of_an_additive_metre(text):
    groups = ADDITIVE[text]
    metre = Metre(sum(groups), int(text[-1]), groups)
    assert song_of("GABc dBAG|", f"M:{text}\nL:1/8\nK:G").metre == metre
    assert song_of(f"GABc|[M:{text}]GABc|", "M:4/4\nK:G").metre_changes[0].metre == metre


def test_musicxml_keeps_the_groups_of_an_additive_metre(tmp_path):
    song = song_from(tmp_path, one_part(eight_notes(), metre="5+3/8"))
    assert song.metre == Metre(8, 8, (5, 3))
    assert song.melody.beat_strengths.tolist() == [1.0, 0.25, 0.25, 0.25, 0.25, 0.5, 0.25, 0.25]


def test_musicxml_in_a_metre_of_hundreds_of_beats_is_read_without_one_and_says_so(tmp_path):
    song = song_from(tmp_path, one_part(eight_notes(), metre="99+99+99/8"))
    assert song.metre.is_free
    assert "makes no sense; from there on the metre is unknown." in " ".join(song.remarks)


@pytest.mark.parametrize("text", ADDITIVE)
def test_a_tune_in_an_additive_metre_is_arranged_and_engraved(text):
    song = song_of("GABc dBAG|GABc dBAG|", f"M:{text}\nL:1/8\nK:G")
    assert len(arrange(song).notes) > 0
    assert engrave(song).svg


def test_a_note_over_hundreds_of_beats_is_cut_without_recursion():
    stretches = cut_at_beats(Fraction(0), Fraction(800), beats_of(Metre(4, 4)), is_rest=False)
    assert [end - begin for begin, end in stretches] == [4] * 200
