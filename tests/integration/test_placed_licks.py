"""Planted licks, removed from the songbook's songs: `place` puts them back."""

from collections import defaultdict

import music21
import numpy as np
import pytest

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.placing.lick_placement import places_for, with_lick
from melodex.features.chords import chords_during, read_chord
from melodex.features.written_tab import written_tab
from melodex.model.metre import Metre
from melodex.parsing.formats import read_file
from melodex.search.query import lick_from_abc
from melodex.tab_files.tab_musicxml import tab_musicxml
from tests.hidden_licks import PLACES, hidden
from tests.songbook import SONGBOOK

# One measure each, over C and over D7.
LICK_OVER_C = "M:4/4\nL:1/8\nK:C\nCDEG AGEC|"
LICK_OVER_D7 = "M:4/4\nL:1/8\nK:G\nFAdc AFDF|"
FEWEST = 16  # of 20 are to be among the first three


@pytest.mark.parametrize("held", [False, True], ids=["silent", "held on the root"])
def test_the_place_that_a_lick_was_taken_from_is_among_the_first_three(held):
    ranks = [hidden(place, held=held).rank() for place in PLACES]
    assert len(ranks) == 20
    assert sum(rank is not None and rank <= 3 for rank in ranks) >= FEWEST


def test_the_twenty_places_are_of_every_lick_and_of_plain_and_rolled_songs():
    assert len({place["lick"] for place in PLACES}) >= 7
    files = [place["file"] for place in PLACES]
    assert min(sum(name.endswith(end) for name in files) for end in (".abc", ".musicxml")) >= 5


@pytest.fixture(params=PLACES[::3], ids=lambda place: f"{place['lick']} in {place['song']}")
def written(request, tmp_path):
    """A hidden lick, its best place, and the files of the song without it and with it."""
    case = hidden(request.param, held=True)
    places, _ = places_for(case.tab, case.chords, case.lick)
    files = []
    for name, tab in (("before", case.tab), ("after", with_lick(case.tab, places[0]))):
        files.append(tmp_path / f"{name}.musicxml")
        files[-1].write_bytes(tab_musicxml(tab))
    return case, places[0], *files


def bars(path):
    """Each measure as music21 reads it: number, length of its metre, lengths and pitches inside."""
    score = music21.converter.parse(path, forceSource=True)
    read = []
    for measure in score.recurse().getElementsByClass("Measure"):
        sounds = [
            (float(sound.quarterLength), tuple(pitch.midi for pitch in sound.pitches))
            for sound in measure.notesAndRests
            if not isinstance(sound, music21.harmony.Harmony)
        ]
        read.append((measure.number, float(measure.barDuration.quarterLength), sounds))
    return read


def test_the_lick_fills_its_measures_and_leaves_the_others_as_they_were(written):
    _, place, before, after = written
    first, last = place.measures
    for (number, length, sounds), (other_number, _, others) in zip(
        bars(after), bars(before), strict=True
    ):
        assert number == other_number
        if first <= number <= last:
            assert sum(each for each, _ in sounds) == length
        else:
            assert sounds == others


def test_our_own_reader_finds_the_lick_in_its_measures_and_the_rest_unchanged(written):
    case, place, before, after = written
    song, changed = (read_file(path).songs[0] for path in (before, after))
    sounding = defaultdict(list)
    for kind, melody in (("before", song.melody), ("after", changed.melody)):
        inside = (melody.onsets >= place.window.begin) & (melody.onsets < place.window.end)
        sounding[kind] = [
            np.stack([melody.onsets[part], melody.pitches[part]]) for part in (inside, ~inside)
        ]
    lick = case.lick.melody
    expected = np.stack([place.window.onsets, lick.pitches + place.fit.transposition])
    assert np.allclose(sounding["after"][0], expected)
    assert np.array_equal(sounding["after"][1], sounding["before"][1])
    assert changed.measures.numbers.tolist() == song.measures.numbers.tolist()
    assert changed.chords == song.chords


def songbook_with_chords():
    """Yield tab and chords of each song of the songbook that states chords."""
    for path in sorted([*SONGBOOK.glob("*.musicxml"), *SONGBOOK.glob("*.abc")]):
        for song in read_file(path).songs:
            if song.chords and song.metre in (Metre(2, 4), Metre(4, 4), Metre(2, 2)):
                yield written_tab(song) or fingered_tab(song), song.chords


def test_a_lick_over_c_finds_a_c_first_in_every_song_that_has_measures_of_c():
    lick = lick_from_abc(LICK_OVER_C)
    judged = 0
    for tab, chords in songbook_with_chords():
        places, _ = places_for(tab, chords, lick)
        sounding = [
            [name for name, _ in chords_during(chords, place.window.begin, place.window.end)]
            for place in places
        ]
        if ["C"] in sounding:
            judged += 1
            assert sounding[0][0] == "C", tab.song.title
            assert places[0].fit.transposition % 12 == 0, tab.song.title
    assert judged >= 30


def test_a_lick_over_d7_stands_on_the_last_tonic_of_no_song():
    lick = lick_from_abc(LICK_OVER_D7)
    for tab, chords in songbook_with_chords():
        last = read_chord(chords[-1].text)
        tonic = tab.song.key.tonic_pitch_class if tab.song.key else None
        if last is None or last.root != tonic:
            continue
        begin = max(chords[-1].onset, float(tab.song.measures.onsets[-1]))
        places, _ = places_for(tab, chords, lick)
        assert all(place.window.end <= begin + 1e-6 for place in places), tab.song.title
