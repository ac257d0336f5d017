"""Remarks list exactly what a tab file cannot express."""

from dataclasses import replace

import numpy as np

from melodex.model.key import Key
from melodex.model.metre import Metre
from melodex.model.song import BarLine, MetreChange, Syllable
from melodex.tab_files.tab_losses import KEY, ORDER, WORDS, left_out_of_musicxml, left_out_of_text
from tests.bundled import bundled_songs
from tests.strategies import melody_of, song_of
from tests.tabs import as_musicxml_and_back, as_text_and_back, fingered, rolled_songs


def song(**facts):
    return replace(song_of(melody_of(*[60] * 16)), **facts)


def test_the_songbooks_tabs_are_held_whole():
    for each in rolled_songs():
        assert left_out_of_text(each) == left_out_of_musicxml(each) == []


def test_an_order_that_only_the_source_states_is_reported_as_lost():
    played = song(sections=np.array([(0.0, 8.0), (0.0, 16.0), (0.0, 8.0)]))
    assert left_out_of_text(played) == left_out_of_musicxml(played) == [ORDER]


def test_an_ending_that_begins_inside_a_measure_is_reported_as_lost():
    bars = (BarLine(6.0, "ending", "1"), BarLine(8.0, "repeat end", "2"), BarLine(16.0, "final"))
    played = song(bar_lines=bars, sections=np.array([(0.0, 8.0), (0.0, 6.0), (8.0, 16.0)]))
    assert left_out_of_text(played) == left_out_of_musicxml(played) == [ORDER]


def test_a_metre_that_changes_inside_a_measure_is_named():
    changed = song(metre_changes=(MetreChange(6.0, Metre(3, 4)),))
    said = ["The metre changes inside measure 2, which is left out."]
    assert left_out_of_text(changed) == left_out_of_musicxml(changed) == said


def test_words_and_a_signature_of_its_own_are_left_to_musicxml():
    sung = song(lyrics=(Syllable(0, "gate"),), key=Key("D", "major", (("B", -1),)))
    assert left_out_of_text(sung) == [WORDS, KEY]
    assert left_out_of_musicxml(song(key=Key("", "", (("F", 1),)))) == []


def test_musicxml_has_room_for_two_titles():
    named = song(other_titles=("Latch", "Hinge"))
    assert left_out_of_musicxml(named) == ["MusicXML has room for two titles; 'Hinge' is left out."]
    assert left_out_of_text(named) == []


def test_without_losses_reported_the_order_of_playing_comes_back():
    for each in bundled_songs("airdsAirs")[::40]:
        tab = fingered(each)
        for read, left_out in (
            (as_text_and_back, left_out_of_text),
            (as_musicxml_and_back, left_out_of_musicxml),
        ):
            if ORDER not in left_out(each):
                back = read(tab).song.sections.tolist()
                assert back == each.sections.tolist(), each.title
