"""Tabs to test with: a small one by hand, and what a tab sounds."""

from dataclasses import replace
from functools import cache
from xml.etree.ElementTree import fromstring

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.fretboard import range_of
from melodex.features.written_tab import written_tab
from melodex.model.melody import AttachedNotes
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.model.tuning import OPEN_G, BanjoTuning
from melodex.parsing.formats import read_file
from melodex.parsing.score.score_reader import read_musicxml
from melodex.parsing.tab.text_tab import read_text_tab
from melodex.tab_files.tab_musicxml import tab_musicxml
from melodex.tab_files.tab_text import tab_text
from tests.songbook import SONGBOOK

SMALL = """\
Title: Latch and Hinge
Metre: 4/4
Key: G major
Spacing: 2 characters = 1/8

D|---------0-------|-----2p0---2-------|
B|-0---1---------0-|---1---------------|
G|-----------2h4---|-------------0-----|
D|-----------------|-2-----------------|
g|---0---0---------|---------0-----10--|
"""


@cache
def rolled_songs() -> tuple[Song, ...]:
    """Return the songbook's arrangements for five strings."""
    return tuple(read_file(path).songs[0] for path in sorted(SONGBOOK.glob("*.musicxml")))


def tab_of(song: Song) -> Tab:
    """Return the tab that a song was read with."""
    tab = written_tab(song)
    assert tab is not None
    return tab


def fingered(song: Song, tuning: BanjoTuning = OPEN_G) -> Tab:
    """Finger a song, its notes brought onto the neck by octaves, one by one where need be."""
    lowest, highest = range_of(tuning)
    pitches = song.melody.pitches.copy()
    pitches[pitches < lowest] += 12 * -((pitches[pitches < lowest] - lowest) // 12)
    pitches[pitches > highest] -= 12 * -((highest - pitches[pitches > highest]) // 12)
    melody = replace(song.melody, pitches=pitches, chord_tones=AttachedNotes.none())
    return fingered_tab(replace(song, melody=melody), tuning)


def small_tab() -> Tab:
    """Return two measures with everything that text tab shows."""
    return tab_of(read_text_tab(SMALL, "latch.tab", "").songs[0])


def sounding(tab: Tab) -> list[tuple[float, int, int, int, str]]:
    """Onset, pitch, string, fret and movement of every note."""
    return [
        (round(note.onset, 9), tab.pitch(note), note.string, note.fret, note.left_hand)
        for note in tab.notes
    ]


def fields(tab: Tab) -> list[tuple[float, int, int, str, str, bool]]:
    """Onset, string, fret, movement, finger and melody mark of every note."""
    return sorted(
        (
            round(note.onset, 9),
            note.string,
            note.fret,
            note.left_hand,
            note.finger,
            note.is_melody,
        )
        for note in tab.notes
    )


def facts(tab: Tab) -> dict[str, object]:
    """Return what a tab says beside its notes."""
    song = tab.song
    return {
        "titles": (song.title, *song.other_titles),
        "key": song.key,
        "metre": song.metre,
        "metre changes": song.metre_changes,
        "tempo": song.tempo,
        "chords": song.chords,
        "bar lines": song.bar_lines,
        "tuning": tab.tuning,
        "sections": song.sections.tolist(),
        "measures": list(
            zip(song.measures.onsets.tolist(), song.measures.numbers.tolist(), strict=True)
        ),
    }


def as_text_and_back(tab: Tab) -> Tab:
    """Return the tab that is read from a tab written as text."""
    text = "\n".join(tab_text(tab))
    return tab_of(read_text_tab(text, "written.tab", "").songs[0])


def as_musicxml_and_back(tab: Tab) -> Tab:
    """Return the tab that is read from a tab written as MusicXML."""
    written = fromstring(tab_musicxml(tab))  # noqa: S314
    return tab_of(read_musicxml([lambda: written], "written.musicxml", "").songs[0])
