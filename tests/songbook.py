"""Our own songbook and its truth file, as tests use them."""

import csv
import tomllib
from functools import cache
from pathlib import Path

from melodex.model.song import Song
from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.formats import read_file

SONGBOOK = Path(__file__).parents[1] / "corpus" / "songbook"
TERMS = ("autumn_term.abc", "winter_term.abc", "spring_term.abc")
TRUTH = tomllib.loads((SONGBOOK / "truth.toml").read_text(encoding="utf-8"))
PLAIN_PLACES = [place for place in TRUTH["place"] if place["file"].endswith(".abc")]


@cache
def songs_of_book(file: str) -> dict[str, Song]:
    """Read one ABC book of the songbook: its songs by title."""
    reading = read_abc((SONGBOOK / file).read_text(encoding="utf-8"), file, collection="songbook")
    assert not reading.failures
    return {song.title: song for song in reading.songs}


@cache
def lick_song(lick: str) -> Song:
    """Read a lick of the truth file."""
    (text,) = (row["abc"] for row in TRUTH["lick"] if row["id"] == lick)
    (song,) = read_abc(f"X:1\nT:{lick}\n{text.strip()}\n", "truth.toml", collection="").songs
    return song


@cache
def levelled_songs() -> tuple[tuple[Song, float], ...]:
    """Return every song of the songbook with the level that its teacher gave."""
    with (SONGBOOK / "levels.csv").open(encoding="utf-8", newline="") as file:
        levels = {row["title"]: float(row["level"]) for row in csv.DictReader(file)}
    files = [*SONGBOOK.glob("*.abc"), *SONGBOOK.glob("*.musicxml")]
    songs = [song for file in sorted(files) for song in read_file(file).songs]
    return tuple((song, levels[song.title]) for song in songs)
