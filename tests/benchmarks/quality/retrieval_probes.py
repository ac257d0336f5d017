"""Two well-known tunes searched in other forms among all bundled songs.

Run: python -m tests.benchmarks.quality.retrieval_probes

Queries are cut from The Soldier's Joy and Fisher's Hornpipe, four measures each, and changed. Each
row shows at which rank the song itself and the first version of it come, and the lowest chance
level of a false match above both; one well below 1 would mislead a user. Versions are linked in
``version_pairs.csv`` or have an equal title.
"""

from collections.abc import Callable, Iterator, Sequence, Set
from dataclasses import replace
from typing import NamedTuple, TypeAlias

import numpy as np
from rich.console import Console
from rich.table import Table

from melodex.finder.find_lick import find_lick
from melodex.index.store import Catalogue
from melodex.model.metre import Metre
from melodex.model.results.match import Match
from melodex.model.song import Song
from tests.benchmarks.measuring import bundled_catalogue
from tests.benchmarks.quality.retrieval_books import name_of
from tests.benchmarks.quality.retrieval_changes import Passage, scaled
from tests.benchmarks.quality.retrieval_form_changes import (
    Home,
    in_other_mode,
    jig_in_long_short,
    quarters_for_eighths,
)
from tests.benchmarks.quality.retrieval_forms import home_of
from tests.benchmarks.quality.retrieval_queries import passage_of
from tests.benchmarks.quality.retrieval_titles import title_key
from tests.benchmarks.quality.retrieval_versions import families

TUNES = ("oneills1850/1625-1700.abc:1642", "ryansMammoth/FishersHornpipe.abc:1")
MEASURES = 4  # of one query
MOST_MATCHES = 100  # a song that comes later counts as not found

ProbeChange: TypeAlias = Callable[[Passage, Home | None], Passage | None]


class Verdict(NamedTuple):
    """What one search found; None where there is no such match."""

    rank_of_song: int | None
    rank_of_version: int | None
    lowest_false_level: float | None  # of the false matches above the song and its versions


def quarters_of(passage: Passage, home: Home | None) -> Passage | None:
    """Play a line of eighths in quarters; sixteenths of 2/4 are first written as eighths of 4/4."""
    if passage.metre == Metre(2, 4):
        passage = replace(scaled(passage, 2), metre=Metre(4, 4))
    return quarters_for_eighths(passage, home)


PROBES: dict[str, ProbeChange] = {
    "quarters for eighths": quarters_of,
    "6/8, long-short": jig_in_long_short,
    "other mode": in_other_mode,
}


def main() -> None:
    """Print a row for each query."""
    table = Table(
        "tune", "measures", "form", "notes", "rank of the song", "rank of a version",
        "lowest level of a false match above",
    )  # fmt: skip
    with bundled_catalogue() as catalogue:
        for name in TUNES:
            song_id, song, versions = tune_in(catalogue, name)
            for measures, passage in passages_in_turn(song):
                for form, change in PROBES.items():
                    changed = change(passage, home_of(song))
                    if changed is None:
                        continue
                    matches = find_lick(catalogue, changed.lick(form), limit=MOST_MATCHES)
                    verdict = verdict_on(matches, song_id, versions)
                    table.add_row(song.title, measures, form, str(len(changed)), *_cells(verdict))
    Console(width=140).print(table)


def tune_in(catalogue: Catalogue, name: str) -> tuple[str, Song, frozenset[str]]:
    """Find a song by its name: its id, the song, and the ids of its versions."""
    family = {name}.union(*(each for each in families() if name in each))
    files = {member.rpartition(":")[0] for member in family}
    entries = list(catalogue.entries())
    ids = [entry.song for entry in entries if entry.file in files]
    songs = {song_id: catalogue.song(song_id) for song_id in ids}
    id_of = {name_of(song): song_id for song_id, song in songs.items()}
    own_id = id_of[name]
    key = title_key(songs[own_id].title)
    same_title = {entry.song for entry in entries if title_key(entry.title) == key}
    versions = same_title | {id_of[member] for member in family}
    return own_id, songs[own_id], frozenset(versions - {own_id})


def passages_in_turn(song: Song) -> Iterator[tuple[str, Passage]]:
    """Cut a song into passages of four measures, the pickup to the first left out."""
    numbers = song.melody.measures
    for first in range(1, int(numbers.max()) + 1, MEASURES):
        last = first + MEASURES - 1
        begin, end = np.searchsorted(numbers, (first, last + 1))
        yield f"{first}-{last}", passage_of(song, slice(int(begin), int(end)))


def verdict_on(matches: Sequence[Match], song: str, versions: Set[str]) -> Verdict:
    """Judge matches, best first, that a search for a song's passage found."""
    found = [match.song for match in matches]
    right = [rank for rank, each in enumerate(found) if each == song or each in versions]
    above = matches[: right[0]] if right else matches
    levels = [match.expected_by_chance for match in above if match.expected_by_chance is not None]
    of_versions = [rank for rank in right if found[rank] != song]
    return Verdict(
        rank_of_song=found.index(song) + 1 if song in found else None,
        rank_of_version=of_versions[0] + 1 if of_versions else None,
        lowest_false_level=min(levels, default=None),
    )


def _cells(verdict: Verdict) -> list[str]:
    ranks = (verdict.rank_of_song, verdict.rank_of_version)
    level = verdict.lowest_false_level
    return [
        *(f"> {MOST_MATCHES}" if rank is None else str(rank) for rank in ranks),
        "none" if level is None else f"{level:.2g}",
    ]


if __name__ == "__main__":
    main()
