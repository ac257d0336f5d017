"""Is a tune that `arrange` put in rolls found by its plain form, and the other way?

Bundled tunes are arranged, written as MusicXML and added to the catalogue of all bundled tunes. The
plain tune asks all of them; the arrangement asks the bundled ones. Each asks with its first eight
measures, and is no answer to itself. Where another tune of the books has the plain tune's notes it
may rightly come first, so such answers are counted apart.
"""

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from melodex.banjo.arranger.arranging import arrange
from melodex.errors import MelodyError
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.find_lick import find_lick
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongEntry, SongFilter
from melodex.model.results.match import Match
from melodex.search.query import lick_from_song
from melodex.tab_files.tab_musicxml import tab_musicxml
from tests.benchmarks.measuring import COLLECTIONS, bundled_catalogue

TUNES = 100
SEED = 20261125
MEASURES = 8
SAME_TUNE = 0.75  # a score, as written, above which an answer is another version of the tune
BUNDLED = SongFilter(collections=COLLECTIONS)


def arranged_tunes(
    catalogue: Catalogue, folder: Path, tunes: int, *, simple: bool
) -> Iterator[tuple[SongEntry, Path]]:
    """Arrange tunes in a random order, of each book as many as fall to it."""
    entries = [entry for entry in catalogue.entries() if entry.measures >= MEASURES]
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
        if arranged == tunes:
            return


def answers(catalogue: Catalogue, asked: str, which: SongFilter) -> list[Match]:
    """Return the best matches of a song's first measures that are not the song."""
    lick = lick_from_song(catalogue, asked, measures=(0, MEASURES))
    matches = find_lick(catalogue, lick, limit=10, which=which)
    return [match for match in matches if match.song != asked]


def report(tunes: int, *, simple: bool) -> None:
    """Print the counts after each tune, since all take an hour."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with bundled_catalogue(folder / "rolls.db") as catalogue:
            pairs = list(arranged_tunes(catalogue, folder, tunes, simple=simple))
            add_songs(catalogue, [path for _, path in pairs])
            song_of_file = {entry.file: entry.song for entry in catalogue.entries()}
            rolls_found = plain_found = 0
            versions_found = [0, 0]
            for asked, (entry, path) in enumerate(pairs, start=1):
                rolled = song_of_file[str(path)]
                by_plain = answers(catalogue, entry.song, EVERY_SONG)
                versions = {match.song for match in by_plain if (match.score or 0) >= SAME_TUNE}
                by_rolls = answers(catalogue, rolled, BUNDLED)
                first = {match.song for match in by_rolls if match.score == by_rolls[0].score}
                if by_plain[0].song == rolled:
                    rolls_found += 1
                else:
                    versions_found[0] += by_plain[0].song in versions
                if entry.song in first:
                    plain_found += 1
                else:
                    versions_found[1] += bool(first & versions)
                print(
                    f"{'simple' if simple else 'full'} form, of {asked}: rolls found by the plain "
                    f"tune {rolls_found} (another version of it {versions_found[0]}), plain tune "
                    f"found by its rolls {plain_found} (another version {versions_found[1]})",
                    flush=True,
                )


if __name__ == "__main__":
    report(int(sys.argv[1]) if len(sys.argv) > 1 else TUNES, simple="--simple" in sys.argv)
