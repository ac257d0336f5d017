"""The songs that retrieval is measured on: the four bundled collections, plain and rolled."""

import hashlib
import pickle
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NamedTuple

import platformdirs

import melodex
from melodex.index.blocks import Blocks, lay_side_by_side
from melodex.index.song_arrays import join_performances, perform
from melodex.model.song import Song
from tests.benchmarks.quality.retrieval_rolls import can_be_rolled, rolled, strings_withheld
from tests.benchmarks.quality.retrieval_seeds import generator_for, lot_of
from tests.bundled import bundled_songs

COLLECTIONS = ("essenFolksong", "oneills1850", "ryansMammoth", "airdsAirs")
# One in four of the songs that can be: enough others that a roll alone tells nothing.
ROLLED_EVERY = 4


@dataclass(frozen=True, slots=True, eq=False)
class Book:
    """Songs, and the arrays that a search scans; a song's number is its place in both."""

    songs: tuple[Song, ...]
    blocks: Blocks


class Source(NamedTuple):
    """What the books are made of."""

    songs: tuple[Song, ...]
    arrangements: dict[int, Song]  # one song in four that can be rolled, in rolls


def book_of(songs: tuple[Song, ...]) -> Book:
    """Lay songs out as a catalogue does, in the order given."""
    arrays = join_performances([perform(song.melody, song.sections, song.key) for song in songs])
    ids = tuple(f"{number:05}" for number in range(len(songs)))
    lanes = lay_side_by_side(arrays.intervals, arrays.first_intervals)
    return Book(songs, Blocks(ids, arrays, lanes))


@cache
def plain_book() -> Book:
    """Lay out the bundled collections as their sources write them."""
    return book_of(_source().songs)


@cache
def rolled_book(*, strings_known: bool) -> Book:
    """Replace one in four of the songs that fit five strings by an arrangement in rolls.

    The arrangements are the same with strings and without.
    """
    songs = list(_source().songs)
    for number, arrangement in _source().arrangements.items():
        songs[number] = arrangement if strings_known else strings_withheld(arrangement)
    return book_of(tuple(songs))


def rolled_songs() -> frozenset[int]:
    """List the songs that ``rolled_book`` has as arrangements."""
    return frozenset(_source().arrangements)


def name_of(song: Song) -> str:
    """Name a song by its file and its number there: it stays the same when books are added."""
    return f"{song.source.file}:{song.source.tune}"


@cache
def _source() -> Source:
    """Read and arrange the collections, or take them from the user's cache."""
    kept = platformdirs.user_cache_path("melodex-benchmarks") / f"{_digest_of_makers()}.pickle"
    if kept.is_file():
        source: Source = pickle.loads(kept.read_bytes())  # noqa: S301 - our own writing
        return source
    songs = tuple(song for name in COLLECTIONS for song in bundled_songs(name))
    source = Source(
        songs,
        {
            number: rolled(song, generator_for("roll", name_of(song)))
            for number, song in enumerate(songs)
            if lot_of("is rolled", name_of(song)) % ROLLED_EVERY == 0 and can_be_rolled(song)
        },
    )
    kept.parent.mkdir(parents=True, exist_ok=True)
    for older in kept.parent.glob("*.pickle"):
        older.unlink()
    kept.write_bytes(pickle.dumps(source))
    return source


def _digest_of_makers() -> str:
    """Tell apart the states of the code that reads and arranges."""
    package, benchmarks = Path(melodex.__file__).parent, Path(__file__).parent
    files = [
        *(package / "model").glob("*.py"),
        *(package / "parsing").rglob("*.py"),
        *benchmarks.glob("retrieval_[bmrs]*.py"),
    ]
    contents = b"".join(path.read_bytes() for path in sorted(files))
    return hashlib.blake2b(contents, digest_size=8).hexdigest()
