"""Is every tab that is written read back as the same notes?

All songs of the songbook and 500 bundled tunes that lie on the neck, and 10,000 random moments in
which several strings sound at once, each with a technique of its own; as text and as MusicXML.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import islice
from random import Random

import numpy as np

from melodex.banjo.fingered_tab import fingered_tab
from melodex.errors import MelodyError
from melodex.features.written_tab import written_tab
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.parsing.formats import read_file
from tests.bundled import bundled_songs
from tests.moves import random_moves, tab_of_moves
from tests.songbook import SONGBOOK
from tests.tabs import as_musicxml_and_back, as_text_and_back, facts, fields

BUNDLED = 500
COLLECTIONS = ("oneills1850", "ryansMammoth", "airdsAirs", "essenFolksong")
TABS_OF_MOVES, MOMENTS = 100, 100  # how many random tabs, and moments in each
EVERY = 25  # tunes of a collection, which makes about 500 of all


def songs_of_the_songbook() -> Iterator[Song]:
    for path in sorted([*SONGBOOK.glob("*.musicxml"), *SONGBOOK.glob("*.abc")]):
        yield from read_file(path).songs


def bundled_tunes() -> Iterator[Song]:
    for collection in COLLECTIONS:
        yield from bundled_songs(collection)[::EVERY]


def tabs_of(songs: Iterable[Song]) -> Iterator[Tab]:
    """Tab of each song that lies on the neck in some octave."""
    for song in songs:
        tab = written_tab(song)
        try:
            yield tab or fingered_tab(song)
        except MelodyError:
            continue


def differences(tab: Tab) -> list[str]:
    """Name what of a tab does not come back."""
    found: list[str] = []
    for form, back in (
        ("text", as_text_and_back(tab)),
        ("MusicXML", as_musicxml_and_back(tab)),
    ):
        if fields(back) != fields(tab):
            found.append(f"notes in {form}")
        found += [
            f"{name} in {form}" for name, fact in facts(tab).items() if facts(back)[name] != fact
        ]
        if form == "MusicXML":
            read, written = (each.song.melody.durations.round(4) for each in (back, tab))
            if not np.array_equal(read, written):
                found.append("durations in MusicXML")
    return found


def report_moves() -> None:
    """Write and read back random moves of both hands."""
    random = Random(0)  # noqa: S311
    changed: Counter[str] = Counter()
    for _ in range(TABS_OF_MOVES):
        tab = tab_of_moves([random_moves(random) for _ in range(MOMENTS)])
        for form, back in (
            ("text", as_text_and_back(tab)),
            ("MusicXML", as_musicxml_and_back(tab)),
        ):
            changed[form] += len(set(fields(tab)) ^ set(fields(back)))
    print(
        f"{TABS_OF_MOVES * MOMENTS:,} random moments of techniques: {dict(changed)} notes changed"
    )


def report(name: str, tabs: Iterable[Tab]) -> None:
    counted = 0
    for tab in tabs:
        counted += 1
        found = differences(tab)
        if found:
            print(f"{tab.song.title} ({tab.song.source.file}): {', '.join(found)}")
    print(f"{name}: {counted} tabs written and read back")


if __name__ == "__main__":
    report_moves()
    report("songbook", tabs_of(songs_of_the_songbook()))
    report("bundled", islice(tabs_of(bundled_tunes()), BUNDLED))
