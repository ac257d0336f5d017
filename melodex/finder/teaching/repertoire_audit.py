"""Audit a repertoire: what its songs share, what is taught often, once, or only elsewhere."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

from melodex.errors import AuditError, QueryError
from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.finder.collection.estimates_of_songs import Estimates
from melodex.finder.teaching.catalogue_material import MaterialGatherer, no_progress
from melodex.finder.teaching.groups import GroupValue, songs_by
from melodex.finder.teaching.near_duplicates import near_duplicates
from melodex.finder.teaching.song_passages import SongProgress
from melodex.finder.teaching.taught_techniques import with_techniques
from melodex.index.store import Catalogue
from melodex.lessons.comparison import comparison_of, group_pair
from melodex.lessons.overlap import overlap_of
from melodex.lessons.overview import overview_of
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.audit import Audit, Comparison, Group, Overview
from melodex.model.results.material import Material

MOST_SONGS = 500  # each is compared with every other
THESE, OTHERS = "these songs", "the others"  # the two groups if filters choose both
TWO = 2  # exactly so many groups by a column are compared with each other
UNKNOWN = "unknown"


def audit(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
    between: tuple[str, str] | None = None,
    progress: SongProgress = no_progress,
) -> Audit:
    """Find where songs overlap, repeat each other and leave gaps, measured in playing time.

    A passage of a song is shared if somebody who has learned another song can play it, in any key.
    Licks are those of lesson plans: kept under a name, or recurring in the catalogue.

    Parameters
    ----------
    which : SongFilter
        The songs to audit.
    against : SongFilter or None
        Other songs to compare them with: what both have, and what only one has.
    by : str or None
        A column, "level", "uses" or "collection": audit the songs of each value as well. If there
        are two values, their songs are compared.
    between : pair of str, or None
        The two values of that column to compare, if there are more.
    progress : callable
        Called after each song that is compared with the others, with the number done and the total.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    UnknownValueError
        If no song has a value of a filter.
    QueryError
        If no song has such a column, or the column no such value.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    songs = chosen_songs(catalogue, which)
    others = [] if against is None else chosen_songs(catalogue, against)
    _refuse_too_many(len({*songs, *others}))
    by_value = {} if by is None else songs_by(catalogue, songs, by)
    sides = None if against is None else {THESE: songs, OTHERS: others}
    if against is None and by is not None:
        sides = _two_groups(by_value, by, between)
    material = MaterialGatherer(catalogue).gather(
        [*songs, *others], versions=True, progress=progress
    )
    estimates = Estimates(catalogue)
    material = estimates.with_suggested_levels(material)
    overlap = overlap_of(material)
    alike = near_duplicates(catalogue, overlap)

    def overview(numbers: Sequence[int]) -> Overview:
        shared = overview_of(overlap, numbers, alike)
        return with_techniques(shared, material, numbers, estimates)

    numbered = [(value, _numbers(material, group)) for value, group in by_value.items()]
    groups = [(Group(value, overview(numbers)), numbers) for value, numbers in numbered]
    comparison: Comparison | None = None
    if sides is not None:
        a, b = (_numbers(material, side) for side in sides.values())
        name_a, name_b = sides
        comparison = comparison_of(overlap, a, b, (name_a, name_b))
    return Audit(
        overview=overview(_numbers(material, songs)),
        comparison=comparison,
        groups=tuple(group for group, _ in groups),
        group_pairs=tuple(
            group_pair(overlap, one, other) for one, other in combinations(groups, 2)
        ),
    )


def _refuse_too_many(songs: int) -> None:
    if songs > MOST_SONGS:
        raise AuditError(
            f"{songs} songs are too many for an audit, which compares each with every other.",
            f"choose {MOST_SONGS} or fewer by collection, tag, metre or level.",
        )


def _numbers(material: Material, songs: Iterable[str]) -> list[int]:
    chosen = frozenset(songs)
    return [number for number, song in enumerate(material.songs) if song in chosen]


def _two_groups(
    groups: Mapping[GroupValue, list[str]], by: str, between: tuple[str, str] | None
) -> dict[str, list[str]] | None:
    """Return the songs of two values by name; None if there are not two to compare."""
    by_name = {_name(value): songs for value, songs in groups.items()}
    if between is None:
        known = [name for name in by_name if name != UNKNOWN]
        return {name: by_name[name] for name in known} if len(known) == TWO else None
    folded = {name.casefold(): name for name in by_name}
    for name in between:
        if name.casefold() not in folded:
            raise QueryError(
                f"No song has the {by} '{name}'.", f"use two of these: {', '.join(by_name)}."
            )
    first, second = (folded[name.casefold()] for name in between)
    if first == second:
        raise QueryError(f"'{first}' is only one group.", "name two different ones.")
    return {first: by_name[first], second: by_name[second]}


def _name(value: GroupValue) -> str:
    if value is None:
        return UNKNOWN
    return value if isinstance(value, str) else f"{value:g}"
