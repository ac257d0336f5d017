"""Audit a repertoire: what its songs share, what is taught often, once, or only elsewhere."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from melodex.errors import AuditError
from melodex.finder.chosen_songs import chosen_songs
from melodex.finder.groups import songs_by
from melodex.finder.material import taught_material
from melodex.finder.near_duplicates import near_duplicates
from melodex.index.store import Catalogue
from melodex.lessons.known import SHARE_DIGITS, new_measures, share_known
from melodex.lessons.taught import Repertoire, knowledge_of, repertoire_of
from melodex.model.audit import (
    AloneSong,
    Audit,
    AuditedSong,
    Coverage,
    CoveredSong,
    Group,
    LickUse,
    NearDuplicate,
    Overview,
    SharedPair,
)
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.known import Skill
from melodex.model.material import Material
from melodex.phrases.overlap import Matrix, covered_measures, places_by_song, shared_measures

MOST_SONGS = 500  # 450 take one to two minutes on two cores, and it grows as their square
OFTEN = 2  # songs that teach a lick


@dataclass(frozen=True, slots=True, eq=False)
class _Overlap:
    """What songs share, as matrices of all of them."""

    material: Material
    counts: Matrix  # shape (n_songs, n_licks), places
    shared: Matrix  # shape (n_songs, n_songs), measures of the licks shared
    covered: Matrix  # shape (n_songs, n_songs), measures of the row's song
    sizes: Sequence[int]  # measures of each song
    alike: Sequence[NearDuplicate]


def audit(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
) -> Audit:
    """Tell where songs overlap, repeat each other and leave gaps.

    Licks are those of lesson plans: kept under a name, or recurring in the catalogue.

    Parameters
    ----------
    which : SongFilter
        The songs to audit.
    against : SongFilter or None
        Songs whose licks these are compared with: how much of ``which`` do they teach?
    by : str or None
        A column, "level" or "term": tell the same for the songs of each value.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    UnknownValueError
        If no song has a value of a filter.
    QueryError
        If no song has such a column.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    songs = chosen_songs(catalogue, which)
    others = [] if against is None else chosen_songs(catalogue, against)
    _refuse_too_many(len({*songs, *others}))
    groups = {} if by is None else songs_by(catalogue, songs, by)
    repertoire = repertoire_of(taught_material(catalogue, [*songs, *others]))
    overlap = _overlap_of(repertoire, near_duplicates(catalogue, songs))
    return Audit(
        overview=_overview(overlap, songs),
        coverage=None if against is None else _coverage(overlap, repertoire, songs, others),
        groups=tuple(Group(value, _overview(overlap, group)) for value, group in groups.items()),
    )


def _refuse_too_many(songs: int) -> None:
    if songs > MOST_SONGS:
        raise AuditError(
            f"{songs} songs are too many for an audit, which compares each with every other.",
            f"choose {MOST_SONGS} or fewer by collection, tag, metre or level.",
        )


def _overlap_of(repertoire: Repertoire, alike: Sequence[NearDuplicate]) -> _Overlap:
    material, taught = repertoire.material, repertoire.taught
    counts = places_by_song(material.places, len(material.songs), len(material.licks))
    covers = [
        (song, measure, lick)
        for song, teaches in enumerate(taught)
        for measure, licks in teaches.measures.items()
        for lick in licks
    ]
    rows = np.array(covers, np.int32).reshape(-1, 3)
    return _Overlap(
        material=material,
        counts=counts,
        shared=shared_measures(counts, material.lick_measures),
        covered=covered_measures(rows, counts),
        sizes=[len(teaches.measures) for teaches in taught],
        alike=alike,
    )


def _numbers(material: Material, songs: Iterable[str]) -> list[int]:
    chosen = frozenset(songs)
    return [number for number, song in enumerate(material.songs) if song in chosen]


def _overview(overlap: _Overlap, songs: Sequence[str]) -> Overview:
    material, chosen = overlap.material, frozenset(songs)
    numbers = _numbers(material, songs)
    uses = [use for use in _uses(overlap, numbers) if use.songs]
    by_most = sorted(uses, key=lambda use: (-use.songs, -use.places, use.lick))
    pairs = _pairs(overlap, numbers)
    share = {song for pair in pairs for song in (pair.song_a, pair.song_b)}
    named = [(number, material.songs[number], material.titles[number]) for number in numbers]
    return Overview(
        songs=tuple(
            AuditedSong(song, title, overlap.sizes[number], int(overlap.shared[number, number]))
            for number, song, title in named
        ),
        pairs=pairs,
        near_duplicates=tuple(
            pair for pair in overlap.alike if {pair.song_a, pair.song_b} <= chosen
        ),
        taught_often=tuple(use for use in by_most if use.songs >= OFTEN),
        taught_once=tuple(use for use in uses if use.songs < OFTEN),
        alone=tuple(
            AloneSong(song, title, overlap.sizes[number])
            for number, song, title in named
            if song not in share
        ),
    )


def _uses(overlap: _Overlap, numbers: Sequence[int]) -> list[LickUse]:
    """Tell of every lick which of some songs teach it."""
    material, counts = overlap.material, overlap.counts[numbers]
    return [
        LickUse(
            lick=name,
            measures=int(material.lick_measures[lick]),
            songs=int(np.count_nonzero(counts[:, lick])),
            places=int(counts[:, lick].sum()),
            taught_in=tuple(
                material.songs[numbers[row]] for row in np.flatnonzero(counts[:, lick]).tolist()
            ),
        )
        for lick, name in enumerate(material.licks)
    ]


def _pairs(overlap: _Overlap, numbers: Sequence[int]) -> tuple[SharedPair, ...]:
    """Tell which of some songs share licks, the most measures first, ties by song id."""
    material, has = overlap.material, overlap.counts > 0
    pairs = [
        SharedPair(
            song_a=material.songs[a],
            title_a=material.titles[a],
            song_b=material.songs[b],
            title_b=material.titles[b],
            measures=int(overlap.shared[a, b]),
            share_a=_share(int(overlap.covered[a, b]), overlap.sizes[a]),
            share_b=_share(int(overlap.covered[b, a]), overlap.sizes[b]),
            licks=tuple(material.licks[lick] for lick in np.flatnonzero(has[a] & has[b]).tolist()),
        )
        for place, a in enumerate(numbers)
        for b in numbers[place + 1 :]
        if overlap.shared[a, b]
    ]
    return tuple(sorted(pairs, key=lambda pair: -pair.measures))


def _share(measures: int, of_measures: int) -> float | None:
    return round(measures / of_measures, SHARE_DIGITS) if of_measures else None


def _coverage(
    overlap: _Overlap, repertoire: Repertoire, songs: Sequence[str], others: Sequence[str]
) -> Coverage:
    """Ask what of some songs somebody could play who has learned the others."""
    material = repertoire.material
    known = knowledge_of(Skill("", frozenset(others), frozenset()), repertoire)
    numbers = _numbers(material, songs)
    covered = tuple(
        CoveredSong(
            song=material.songs[number],
            title=material.titles[number],
            share=share_known(repertoire, number, known),
            covered=overlap.sizes[number] - len(new_measures(repertoire, number, known)),
            measures=overlap.sizes[number],
        )
        for number in numbers
    )
    uses = _uses(overlap, numbers)
    played, measures = sum(song.covered for song in covered), sum(song.measures for song in covered)
    return Coverage(
        share=_share(played, measures),
        covered=played,
        measures=measures,
        songs=tuple(sorted(covered, key=lambda song: (song.share is None, song.share or 0.0))),
        missing=tuple(
            use for lick, use in enumerate(uses) if use.songs and lick not in known.licks
        ),
    )
