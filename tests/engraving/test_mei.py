"""Our MEI as read by other libraries."""

import random
from typing import Any

import pytest
from hypothesis import given, settings
from music21.mei import MeiToM21Converter

from melodex.engraving.engraved_score import score_of
from melodex.engraving.mei import mei_document
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.formats import read_file
from tests.bundled import bundled_songs
from tests.engraved import mei_of, sounding_of, timed_by_verovio
from tests.songbook import SONGBOOK
from tests.strategies import songs
from tests.tabs import fingered, small_tab, tab_of

COLLECTIONS = ("oneills1850", "ryansMammoth", "airdsAirs", "essenFolksong")
SONGS_OF_A_COLLECTION = 40
GRACE = 0.3  # quarter notes that Verovio takes from the note after grace notes


def songbook() -> list[tuple[Song, Tab | None]]:
    paths = sorted(path for path in SONGBOOK.iterdir() if path.suffix in {".abc", ".musicxml"})
    read = [song for path in paths for song in read_file(path).songs]
    return [(song, tab_of(song) if song.tuning else None) for song in read]


def sample(collection: str) -> list[Song]:
    return random.Random(7).sample(list(bundled_songs(collection)), SONGS_OF_A_COLLECTION)  # noqa: S311


def late_or_wrong(song: Song, tab: Tab | None = None) -> list[object]:
    """Return notes whose time or pitch in Verovio differs from the song."""
    score, mei = mei_of(song, tab)
    graced = {
        sound.onset - score.measures[0].span.onset for sound in score.staff.sounds if sound.graces
    }
    read = timed_by_verovio(mei)
    wrong: list[object] = []
    for onset, pitch, name in sounding_of(score):
        found_onset, found_pitch = read[name]
        allowed = GRACE if onset in map(float, graced) else 1e-3
        if found_pitch != pitch or not -1e-3 <= found_onset - onset <= allowed:
            wrong.append((song.title, onset, pitch, read[name]))
    return wrong


def test_verovio_reads_the_songbook_as_it_was_written_on_staff_and_tab():
    book = songbook()
    assert len(book) == 57
    assert [wrong for song, tab in book for wrong in late_or_wrong(song, tab)] == []


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_verovio_reads_bundled_tunes_as_they_were_written(collection):
    assert [wrong for song in sample(collection) for wrong in late_or_wrong(song)] == []


@pytest.mark.parametrize("collection", COLLECTIONS)
def test_music21_reads_bundled_tunes_as_they_were_written(collection):
    # music21 10.5 places measures within an ending at the song's beginning: those songs are left
    # out.
    plain = [song for song in sample(collection) if not any(line.ending for line in song.bar_lines)]
    for song in plain[:6]:
        score, mei = mei_of(song)
        read_score: Any = MeiToM21Converter(mei).run()
        part = read_score.parts[0].stripTies().flatten()
        read = [
            (round(float(note.offset), 4), max(pitch.midi for pitch in note.pitches))
            for note in part.notes
            if not note.duration.isGrace
        ]
        expected = [
            (round(float(sound.onset - score.measures[0].span.onset), 4), sound.heads[0].pitch)
            for sound in score.staff.sounds
        ]
        assert read == expected, song.title


@settings(max_examples=60, deadline=None)
@given(song=songs(max_notes=24))
def test_verovio_reads_random_songs_in_every_key_as_they_were_written(song):
    rounded = any(rhythm.is_rounded for rhythm in score_of(song).staff.rhythms)
    assert rounded or late_or_wrong(song) == []


def test_a_fingered_tab_sounds_what_its_strings_and_frets_say():
    for song in sample("oneills1850")[:5]:
        tab = fingered(song)
        assert late_or_wrong(tab.song, tab) == []
    tab = small_tab()
    assert late_or_wrong(tab.song, tab) == []


def test_repeats_endings_and_the_final_bar_line_are_written_where_they_stand():
    text = "X:1\nT:Gate\nM:4/4\nL:1/4\nK:D\nA|:defg|1 a2d2:|2 a4||f4|]\n"
    song = _abc(text)
    root = mei_document(score_of(song))
    measures = list(root.iter("measure"))
    assert [measure.get("n") for measure in measures] == ["0", "1", "2", "3", "4"]
    assert [measure.get("left") for measure in measures] == [None, "rptstart", None, None, None]
    assert [measure.get("right") for measure in measures] == [None, None, "rptend", "dbl", "end"]
    endings = {ending.get("n"): len(ending) for ending in root.iter("ending")}
    assert endings == {"1": 1, "2": 1}


def test_a_pickup_is_no_full_measure_and_its_beams_fall_on_the_beat():
    song = _abc("X:1\nT:Gate\nM:4/4\nL:1/8\nK:G\nDEF|GABcdefg|\n")
    pickup, full = list(mei_document(score_of(song)).iter("measure"))
    assert pickup.get("metcon") == "false"
    assert full.get("metcon") is None
    # Of three eighths before the bar line the last two are one beat. Common practice, no source.
    assert [len(beam) for beam in pickup.iter("beam")] == [3]


def test_grace_notes_before_a_beam_stay_outside_it_and_within_it_stay_inside():
    song = _abc("X:1\nT:Gate\nM:2/4\nL:1/8\nK:G\n{ga}BA {c}BA|\n")
    (layer,) = mei_document(score_of(song)).iter("layer")
    assert [element.tag for element in layer] == ["graceGrp", "beam"]
    assert [element.tag for element in layer[1]] == ["note", "note", "graceGrp", "note", "note"]


def test_chord_symbols_key_and_a_change_of_metre_are_written():
    song = _abc('X:1\nT:Gate\nM:4/4\nL:1/4\nK:Bb\n"Bb"BcdB|[M:3/4]"F7"cBA|\n')
    root = mei_document(score_of(song))
    assert [symbol.text for symbol in root.iter("harm")] == ["Bb", "F7"]
    assert [key.get("sig") for key in root.iter("keySig")] == ["2f"]
    assert [sign.get("count") for sign in root.iter("meterSig")] == ["4", "3"]


def test_a_tab_has_five_lines_and_the_courses_of_its_tuning():
    tab = small_tab()
    root = mei_document(score_of(tab.song, tab))
    courses = [(c.get("n"), c.get("pname"), c.get("oct")) for c in root.iter("course")]
    # gDGBD. Common practice, no source.
    assert courses == [
        ("1", "d", "4"),
        ("2", "b", "3"),
        ("3", "g", "3"),
        ("4", "d", "3"),
        ("5", "g", "4"),
    ]
    assert [staff.get("lines") for staff in root.iter("staffDef")] == ["5", "5"]


def _abc(text: str) -> Song:
    (song,) = read_abc(text, "gate.abc").songs
    return song
