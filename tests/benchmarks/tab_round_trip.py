"""Is every tab that is written read back as the same notes?

All songs of the songbook and 500 bundled tunes that lie on the neck, as text and as MusicXML.
"""

from collections.abc import Iterable, Iterator
from itertools import islice
from xml.etree.ElementTree import fromstring

import numpy as np

from melodex.banjo.fingered_tab import fingered_tab
from melodex.errors import MelodyError
from melodex.features.written_tab import written_tab
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.parsing.formats import read_file
from melodex.parsing.score.score_reader import read_musicxml
from melodex.parsing.tab.text_tab import read_text_tab
from melodex.report.tab_musicxml import tab_musicxml
from melodex.report.tab_text import tab_text
from tests.bundled import bundled_songs
from tests.songbook import SONGBOOK

BUNDLED = 500
COLLECTIONS = ("oneills1850", "ryansMammoth", "airdsAirs", "essenFolksong")
EVERY = 25  # tunes of a collection, which makes about 500 of all


def songs_of_the_songbook() -> Iterator[Song]:
    for path in sorted([*SONGBOOK.glob("*.musicxml"), *SONGBOOK.glob("*.abc")]):
        yield from read_file(path).songs


def bundled_tunes() -> Iterator[Song]:
    for collection in COLLECTIONS:
        yield from bundled_songs(collection)[::EVERY]


def tabs_of(songs: Iterable[Song]) -> Iterator[Tab]:
    """Tab of each song, an octave lower or higher where it does not lie on the neck as written."""
    for song in songs:
        tab = written_tab(song)
        for octaves in (0, -1, 1):
            if tab is None:
                try:
                    tab = fingered_tab(song, octaves=octaves)
                except MelodyError:
                    continue
        if tab is not None:
            yield tab


def sounding(tab: Tab) -> list[tuple[float, int, int, int]]:
    """Onset, pitch, string and fret of every note of a tab."""
    return sorted(
        (round(note.onset, 4), tab.pitch(note), note.string, note.fret) for note in tab.notes
    )


def read_back(song: Song) -> list[tuple[float, int, int, int]]:
    """The same of a song that was read."""
    tab = written_tab(song)
    return [] if tab is None else sounding(tab)


def differences(tab: Tab) -> list[str]:
    """Name the forms in which a tab does not come back."""
    text = "\n".join(tab_text(tab))
    as_text = read_text_tab(text, "written.tab", "").songs[0]
    written = fromstring(tab_musicxml(tab))  # noqa: S314
    as_xml = read_musicxml([lambda: written], "written.musicxml", "").songs[0]
    wanted = sounding(tab)
    found = [
        form
        for form, song in (("text", as_text), ("MusicXML", as_xml))
        if read_back(song) != wanted
    ]
    rhythm = np.array_equal(as_xml.melody.durations.round(4), tab.song.melody.durations.round(4))
    return found if rhythm else [*found, "durations in MusicXML"]


def report(name: str, tabs: Iterable[Tab]) -> None:
    counted = 0
    for tab in tabs:
        counted += 1
        found = differences(tab)
        if found:
            print(f"{tab.song.title} ({tab.song.source.file}): {', '.join(found)}")
    print(f"{name}: {counted} tabs written and read back")


if __name__ == "__main__":
    report("songbook", tabs_of(songs_of_the_songbook()))
    report("bundled", islice(tabs_of(bundled_tunes()), BUNDLED))
