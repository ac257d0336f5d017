"""Tab as MusicXML: valid by the schema, and read back by music21 and by melodex."""

from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path

import music21
import numpy as np
import pytest
import verovio
import xmlschema
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.banjo.fingered_tab import fingered_tab
from melodex.engraving.engrave_song import engrave
from melodex.model.song import BarLine, ChordSymbol, Syllable
from melodex.model.tuning import OPEN_G, with_capo
from melodex.parsing.formats import read_file
from melodex.tab_files.tab_musicxml import tab_musicxml
from tests.bundled import bundled_songs
from tests.moves import Move, moves, tab_of_moves
from tests.strategies import melody_of, song_of, songs
from tests.tabs import (
    as_musicxml_and_back,
    facts,
    fields,
    fingered,
    rolled_songs,
    small_tab,
    sounding,
    tab_of,
)

STAVES = 2  # notation and tab


@cache
def schema():
    """Return MusicXML 4.0's own schema, as included in the package musicxml."""
    folder = Path(str(files("musicxml"))) / "generate_classes"
    return xmlschema.XMLSchema(
        folder / "musicxml_4_0.xsd",
        allow="local",
        locations={"http://www.w3.org/XML/1998/namespace": str(folder / "xml.xsd")},
    )


def read_back(tab, tmp_path):
    path = tmp_path / "written.musicxml"
    path.write_bytes(tab_musicxml(tab))
    reading = read_file(path)
    assert reading.failures == ()
    return reading.songs[0]


def parsed_by_music21(document):
    return music21.converter.parse(document.decode(), format="musicxml")


def seen_by_music21(document):
    """Return onset, length, pitch, string and fret of every note, with ties joined."""
    notes = []
    for element in parsed_by_music21(document).stripTies().flatten().notes:
        if isinstance(element, music21.harmony.Harmony):
            continue
        marks = element.articulations
        strings = [m.number for m in marks if type(m) is music21.articulations.StringIndication]
        frets = [m.number for m in marks if type(m) is music21.articulations.FretIndication]
        onset, length = float(element.offset), float(element.quarterLength)
        pitches = [pitch.midi for pitch in element.pitches]
        # A tied note has its marks once for each part of it; the first is enough.
        for pitch, string, fret in zip(pitches, strings, frets, strict=False):
            notes.append((onset, length, pitch, string, fret))
    return sorted(notes)


def written(tab):
    return sorted(
        (note.onset, note.duration, tab.pitch(note), note.string, note.fret) for note in tab.notes
    )


@pytest.mark.parametrize("song", rolled_songs(), ids=lambda song: song.title)
def test_every_arrangement_of_the_songbook_is_valid_and_read_back(song, tmp_path):
    tab = tab_of(song)
    document = tab_musicxml(tab)
    assert [str(error) for error in schema().iter_errors(document.decode())] == []
    assert seen_by_music21(document) == written(tab)
    back = read_back(tab, tmp_path)
    assert sounding(tab_of(back)) == sounding(tab)
    for fact in ("title", "key", "metre", "chords", "tempo", "tuning", "touches", "bar_lines"):
        assert getattr(back, fact) == getattr(song, fact), fact
    assert back.sections.tolist() == song.sections.tolist()


@pytest.mark.parametrize("collection", ["ryansMammoth", "essenFolksong"])
def test_bundled_tunes_are_valid_and_music21_reads_the_same(collection):
    for song in bundled_songs(collection)[::600]:
        tab = fingered(song)
        document = tab_musicxml(tab)
        assert [str(error) for error in schema().iter_errors(document.decode())] == [], song.title
        for seen, noted in zip(seen_by_music21(document), written(tab), strict=True):
            assert seen == pytest.approx(noted), song.title


@settings(max_examples=25, deadline=None)
@given(song=songs(max_notes=12))
def test_odd_rhythms_and_rests_come_back_as_they_were(song):
    tab = fingered(song)
    document = tab_musicxml(tab)
    assert [str(error) for error in schema().iter_errors(document.decode())] == []
    for seen, noted in zip(seen_by_music21(document), written(tab), strict=True):
        assert seen == pytest.approx(noted)


def test_a_capo_is_in_the_tuning_and_the_short_string_counts_as_the_neck(tmp_path):
    tab = small_tab()
    assert (5, 10) in {(note.string, note.fret) for note in tab.notes}
    raised = type(tab)(tab.song, with_capo(OPEN_G, 2), tab.notes)
    back = tab_of(read_back(raised, tmp_path))
    assert sounding(back) == sounding(raised)
    assert back.tuning == with_capo(OPEN_G, 2)


def test_chosen_measures_are_written_alone(tmp_path):
    (tmp_path / "cut.musicxml").write_bytes(tab_musicxml(small_tab(), (2, 2)))
    (song,) = read_file(tmp_path / "cut.musicxml").songs
    assert set(song.melody.measures.tolist()) == {2}


def test_verovio_engraves_what_is_written_without_a_warning(capfd):
    # Verovio 6.4 writes its log to stderr.
    verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
    verovio.enableLog(verovio.LOG_WARNING)
    try:
        toolkit = verovio.toolkit()
        for song in rolled_songs():
            assert toolkit.loadData(tab_musicxml(tab_of(song)).decode())
            for page in range(1, toolkit.getPageCount() + 1):
                toolkit.renderToSVG(page)
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


def test_songs_are_engraved_without_a_warning(capfd):
    engrave(rolled_songs()[0])  # creates the toolkit, and turns the log off
    verovio.enableLog(verovio.LOG_WARNING)
    try:
        for song in rolled_songs():
            engrave(song)
    finally:
        verovio.enableLog(verovio.LOG_OFF)
    assert capfd.readouterr().err == ""


def test_a_capo_is_stated_and_pitches_and_chords_stay_as_they_sound(tmp_path):
    song = replace(song_of(melody_of(64, 69, 71, 69)), chords=(ChordSymbol(0.0, "A"),))
    tab = fingered_tab(song, with_capo(OPEN_G, 2))
    document = tab_musicxml(tab)
    # Source: MusicXML 4.0, "capo": it raises the open tuning by half-steps.
    assert b"<capo>2</capo>" in document
    assert document.count(b"<tuning-step>D</tuning-step>") == 2
    assert [note[2] for note in seen_by_music21(document)] == [64, 69, 71, 69]
    back = read_back(tab, tmp_path)
    assert tab_of(back).tuning == tab.tuning
    assert sounding(tab_of(back)) == sounding(tab)
    assert [chord.text for chord in back.chords] == ["A"]


@settings(max_examples=25, deadline=None)
@given(moments=st.lists(moves(), min_size=1, max_size=12))
def test_what_each_string_does_is_valid_and_read_back(moments):
    tab = tab_of_moves(moments)
    assert [str(error) for error in schema().iter_errors(tab_musicxml(tab).decode())] == []
    assert fields(as_musicxml_and_back(tab)) == fields(tab)


def test_a_choke_is_a_bend_of_its_own_note():
    # Source: MusicXML 4.0, element bend.
    document = tab_musicxml(tab_of_moves([[Move(2, 10, "choke", "I"), Move(1, 0, "", "M")]]))
    score = parsed_by_music21(document)
    (chord,) = score.parts[-1].recurse().getElementsByClass("Chord")
    assert [mark.classes[0] for mark in chord.articulations if "Bend" in mark.classes[0]] == [
        "FretBend"
    ]


@pytest.mark.parametrize(
    ("durations", "brackets"),
    [
        ([1 / 3] * 6 + [1.0] * 2, [(0.0, 2 / 3), (1.0, 5 / 3)]),
        ([2 / 3, 1 / 3, 1.0, 2.0], [(0.0, 2 / 3)]),
        ([0.5] * 8, []),
    ],
)
def test_tuplets_are_bracketed_from_their_first_note_to_their_last(durations, brackets):
    tab = fingered(song_of(melody_of(*[60] * len(durations), durations=durations)))
    document = tab_musicxml(tab)
    assert [str(error) for error in schema().iter_errors(document.decode())] == []
    score = parsed_by_music21(document)
    wanted = [
        (at, kind) for span in brackets for at, kind in zip(span, ("start", "stop"), strict=True)
    ]
    assert len(score.parts) == STAVES
    for staff in score.parts:
        found = [
            (float(note.offset), tuplet.type)
            for note in staff.flatten().notes
            for tuplet in note.duration.tuplets
            if tuplet.type
        ]
        assert [kind for _, kind in found] == [kind for _, kind in wanted]
        assert [at for at, _ in found] == pytest.approx([at for at, _ in wanted])
    assert document.count(b'bracket="yes"') == STAVES * len(brackets)


def test_rests_stand_under_the_bracket_too():
    # A third of a beat of silence between two that sound.
    onsets, durations = [0.0, 2 / 3, 1.0], [1 / 3, 1 / 3, 3.0]
    tab = fingered(song_of(melody_of(60, 62, 64, onsets=onsets, durations=durations)))
    document = tab_musicxml(tab)
    assert [str(error) for error in schema().iter_errors(document.decode())] == []
    assert document.count(b'<tuplet type="start"') == STAVES
    assert document.count(b'<tuplet type="stop"') == STAVES


def test_notation_stands_over_the_tab_in_one_part_with_an_8_below_its_clef():
    document = tab_musicxml(small_tab())
    notation, strings = parsed_by_music21(document).parts
    # Source: music21 10.5, clef.Treble8vbClef: G on the second line, an octave down.
    assert type(notation["Clef"].first()) is music21.clef.Treble8vbClef
    assert type(strings["Clef"].first()) is music21.clef.TabClef
    pitches = [[p.midi for p in note.pitches] for note in notation.flatten().notes]
    assert pitches == [[p.midi for p in note.pitches] for note in strings.flatten().notes]
    marks = [mark for note in notation.flatten().notes for mark in note.articulations]
    assert marks == []


def test_two_staves_are_read_as_one_song_without_a_remark(tmp_path):
    song = read_back(small_tab(), tmp_path)
    assert song.remarks == ()
    assert len(song.melody) == len({note.onset for note in small_tab().notes})


def test_eighths_are_beamed_by_half_measures_and_sixteenths_by_beats():
    # Gould, Behind Bars, 2011, "Beaming according to the metre"; from memory.
    tab = fingered(
        song_of(melody_of(*[60] * 16, durations=[0.5] * 8 + [0.25, 0.25, 0.5] * 2 + [1.0, 1.0]))
    )
    notation = parsed_by_music21(tab_musicxml(tab)).parts[0]
    beams = [[beam.type for beam in note.beams] for note in notation.flatten().notes]
    half = [["start"], ["continue"], ["continue"], ["stop"]]
    beat = [["start", "start"], ["continue", "stop"], ["stop"]]
    assert beams == [*half, *half, *beat, *beat, [], []]


def test_hammer_ons_are_slurs_in_the_notation():
    moments = [[Move(3, 2, "", "T")], [Move(3, 4, "hammer-on", "")], [Move(1, 0, "", "M")]]
    score = parsed_by_music21(tab_musicxml(tab_of_moves(moments)))
    (slur,) = score.parts[0].recurse().getElementsByClass("Slur") or score["Slur"]
    assert [note.pitch.midi for note in slur.getSpannedElements()] == [57, 59]


@pytest.mark.parametrize(
    ("bars", "sections"),
    [
        ([BarLine(4.0, "repeat end")], [(0.0, 4.0)] * 2 + [(0.0, 16.0)]),
        # A repeat that begins at a double bar line.
        ([BarLine(8.0, "double"), BarLine(16.0, "repeat end")], [(0.0, 16.0), (8.0, 16.0)]),
        ([BarLine(0.0, "final"), BarLine(8.0, "final"), BarLine(16.0, "double")], [(0.0, 16.0)]),
    ],
)
def test_bar_lines_and_the_order_of_playing_come_back(bars, sections):
    tab = tab_of_moves([[Move(1, 0, "", "M")]] * 32)
    song = replace(tab.song, bar_lines=tuple(bars), sections=np.array(sections))
    tab = replace(tab, song=song)
    assert [str(error) for error in schema().iter_errors(tab_musicxml(tab).decode())] == []
    assert facts(as_musicxml_and_back(tab)) == facts(tab)


def test_words_melody_and_a_second_title_come_back():
    tab = tab_of_moves([[Move(1, 0, "", "M"), Move(3, 0, "", "T")]] * 8)
    notes = tuple(replace(note, is_melody=note.string == 3) for note in tab.notes)
    words = (Syllable(0, "gate"), Syllable(5, "wide"))
    song = replace(tab.song, lyrics=words, title="Gate, The", other_titles=("Latch",))
    tab = replace(tab, notes=notes, song=song)
    assert [str(error) for error in schema().iter_errors(tab_musicxml(tab).decode())] == []
    back = as_musicxml_and_back(tab)
    assert back.song.lyrics == words
    assert fields(back) == fields(tab)
    assert facts(back) == facts(tab)
