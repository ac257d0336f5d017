"""Is a tune that `arrange` put in rolls found by its plain form, and the other way?

100 bundled tunes are arranged, written as MusicXML and added to the catalogue of all bundled tunes.
The song that is asked with does not count as an answer.
"""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from melodex.banjo.arranging import arrange
from melodex.errors import MelodyError
from melodex.finder.add_songs import add_songs
from melodex.finder.find_lick import find_lick
from melodex.index.store import Catalogue
from melodex.model.catalogue import SongEntry
from melodex.report.tab_musicxml import tab_musicxml
from melodex.search.query import lick_from_song
from tests.benchmarks.measuring import bundled_catalogue

TUNES = 100
SEED = 20261125
MEASURES = (4, 8)  # of the tune that is asked with, from the first on


def arranged_tunes(
    catalogue: Catalogue, folder: Path, *, simple: bool
) -> Iterator[tuple[SongEntry, Path]]:
    """Arrange tunes in a random order, of each book as many as fall to it."""
    entries = [entry for entry in catalogue.entries() if entry.measures >= max(MEASURES)]
    order = np.random.default_rng(SEED).permutation(len(entries))
    arranged = 0
    for entry in (entries[place] for place in order):
        try:
            tab = arrange(catalogue.song(entry.song), simple=simple)
        except MelodyError:
            continue
        path = folder / f"arranged-{entry.song}.musicxml"
        path.write_bytes(tab_musicxml(tab))
        yield entry, path
        arranged += 1
        if arranged == TUNES:
            return


def answers_first(catalogue: Catalogue, asked: str, wanted: str, measures: int) -> bool:
    """Whether the song wanted is the best answer to one asked with."""
    lick = lick_from_song(catalogue, asked, measures=(0, measures))
    matches = [match for match in find_lick(catalogue, lick, limit=2) if match.song != asked]
    return bool(matches) and matches[0].song == wanted


def report(*, simple: bool) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with bundled_catalogue(folder / "rolls.db") as catalogue:
            pairs = list(arranged_tunes(catalogue, folder, simple=simple))
            add_songs(catalogue, [path for _, path in pairs])
            song_of_file = {entry.file: entry.song for entry in catalogue.entries()}
            for measures in MEASURES:
                by_plain, by_rolled = 0, 0
                for entry, path in pairs:
                    rolled = song_of_file[str(path)]
                    by_plain += answers_first(catalogue, entry.song, rolled, measures)
                    by_rolled += answers_first(catalogue, rolled, entry.song, measures)
                asked = f"first {measures} measures"
                print(
                    f"{'simple' if simple else 'with hammer-ons and slides'}, {asked}: "
                    f"rolls found by the plain tune {by_plain}, "
                    f"plain tune found by its rolls {by_rolled}, of {len(pairs)}"
                )


if __name__ == "__main__":
    report(simple=False)
    report(simple=True)
