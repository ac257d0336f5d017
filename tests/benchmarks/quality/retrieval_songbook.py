"""The songbook's planted licks against its decoys.

Every method ranks the places of the songbook, each cut out by its measures, for every lick; and
melodex's own search over the whole book must report every planted place before any decoy.
"""

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.find_lick import find_lick
from melodex.index.store import open_catalogue
from melodex.model.lick import Lick
from melodex.model.results.match import Match
from melodex.model.song import Song
from melodex.parsing.formats import read_file
from melodex.search.query import lick_from_abc
from tests.benchmarks.quality.retrieval_books import book_of
from tests.benchmarks.quality.retrieval_methods import Method
from tests.songbook import SONGBOOK, TRUTH

Row = dict[str, Any]  # a place or a decoy of the truth file


class Answer(NamedTuple):
    """Whether one planted place was found before every decoy."""

    lick: str
    variant: str
    place: str
    is_found: bool
    remark: str


def planted_licks() -> dict[str, Lick]:
    """Ask for the licks as a user types them."""
    return {row["id"]: lick_from_abc(row["abc"]) for row in TRUTH["lick"]}


def places_of(lick: str) -> list[Row]:
    """List where a lick was planted."""
    return [row for row in TRUTH["place"] if row["lick"] == lick]


def answers_of(method: Method) -> list[Answer]:
    """Compare a method's score of each planted place with its best score of any decoy."""
    rows = [*TRUTH["place"], *TRUTH["decoy"]]
    blocks = book_of(tuple(_excerpt(row) for row in rows)).blocks
    answers = []
    for name, lick in planted_licks().items():
        scores = method(lick, blocks)
        best_decoy = len(TRUTH["place"]) + int(np.argmax(scores[len(TRUTH["place"]) :]))
        for number, row in enumerate(TRUTH["place"]):
            if row["lick"] == name:
                is_found = bool(scores[number] > scores[best_decoy])
                remark = "" if is_found else f"not above {_name(rows[best_decoy])}"
                answers.append(Answer(name, row["variant"], _name(row), is_found, remark))
    return answers


def answers_of_search() -> list[Answer]:
    """Search the whole book as a user does and see at which rank each place is reported."""
    with (
        tempfile.TemporaryDirectory() as folder,
        open_catalogue(Path(folder) / "songbook.db", create=True) as catalogue,
    ):
        add_songs(catalogue, [SONGBOOK])
        found = {
            name: find_lick(catalogue, lick, limit=None, all_places=True)
            for name, lick in planted_licks().items()
        }
    answers = []
    for name, matches in found.items():
        ranks = [(_rank(matches, decoy), _name(decoy)) for decoy in TRUTH["decoy"]]
        first_decoy, decoy_name = min(ranks)
        for row in places_of(name):
            rank = _rank(matches, row)
            remark = "" if rank < first_decoy else f"rank {rank}, after {decoy_name}"
            answers.append(Answer(name, row["variant"], _name(row), rank < first_decoy, remark))
    return answers


def _rank(matches: list[Match], row: Row) -> int:
    """Count the matches before the first one that touches a place; all of them where none does."""
    measures = set(range(row["first_measure"], row["last_measure"] + 1))
    touching = (
        rank
        for rank, match in enumerate(matches)
        if match.title == row["song"] and measures & set(match.measures)
    )
    return next(touching, len(matches))


def _excerpt(row: Row) -> Song:
    """Have a song play one place only."""
    songs = {song.title: song for song in read_file(SONGBOOK / row["file"]).songs}
    song = songs[row["song"]]
    onsets, numbers = song.measures.onsets, song.measures.numbers
    start = onsets[numbers >= row["first_measure"]][0]
    after = onsets[numbers > row["last_measure"]]
    end = after[0] if len(after) else song.melody.onsets[-1] + song.melody.durations[-1]
    return replace(song, sections=np.array([(start, end)]))


def _name(row: Row) -> str:
    return f"{row['song']}, measures {row['first_measure']}-{row['last_measure']}"
