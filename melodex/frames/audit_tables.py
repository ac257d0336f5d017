"""Audits of a repertoire as DataFrames."""

from collections.abc import Mapping
from typing import NamedTuple

import pandas as pd

from melodex.finder.teaching import repertoire_audit as auditing
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.audit import (
    COMPARED,
    NO_COVERAGE,
    PARTS,
    Comparison,
    Coverage,
    CoveredSong,
    GroupPair,
    LickUse,
    Overview,
)


class AuditTables(NamedTuple):
    """The tables of an audit; ``help(melodex.audit)`` explains their columns."""

    songs: pd.DataFrame
    tunes: pd.DataFrame
    pairs: pd.DataFrame
    near_duplicates: pd.DataFrame
    taught_often: pd.DataFrame
    taught_once: pd.DataFrame
    alone: pd.DataFrame
    techniques: pd.DataFrame
    matrix: pd.DataFrame
    common_tunes: pd.DataFrame
    common_licks: pd.DataFrame
    common_passages: pd.DataFrame
    tunes_only_a: pd.DataFrame
    tunes_only_b: pd.DataFrame
    coverage: pd.DataFrame
    coverage_b: pd.DataFrame
    missing: pd.DataFrame
    missing_b: pd.DataFrame
    group_pairs: pd.DataFrame
    groups: "Mapping[str | float | None, AuditTables]"


NO_COMPARISON = Comparison("", "", (), (), (), (), (), NO_COVERAGE, NO_COVERAGE)


def audit(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
    between: tuple[str, str] | None = None,
) -> AuditTables:
    """Show where the songs of a repertoire overlap, repeat each other and leave gaps.

    Everything is measured in the playing time of notes, in quarter notes. One song teaches a
    passage of another if somebody who has learned the one can play it in the other, in any key.
    Licks are those that recur in the catalogue and those that are kept.

    Parameters
    ----------
    which : SongFilter
        The songs to audit, 500 at most.
    against : SongFilter or None
        Other songs to compare them with: ``which`` is the first group, these are the second.
    by : str or None
        A column, such as "level", "term" or "metre": ``groups`` has the same tables for the songs
        of each value. If it has two values, their songs are the two groups compared.
    between : pair of str, or None
        The two values of that column to compare, if there are more.

    Returns
    -------
    AuditTables
        A tuple of DataFrames:

        - ``songs``: ``song`` (id), ``title``, ``beats`` (quarter notes), ``shared`` (the part that
          the other songs teach, 0 to 1).
        - ``tunes``: ``title``, ``songs`` (ids of its versions), ``titles``.
        - ``pairs``, songs that share passages, the most first: ``song_a``, ``title_a``, ``song_b``,
          ``title_b``, ``beats_a`` and ``share_a`` (what the second song teaches of the first, in
          quarter notes and 0 to 1), ``beats_b``, ``share_b``, ``measures_a``, ``measures_b``
          (pairs of first and last measures), ``licks`` (names), ``same_tune``.
        - ``near_duplicates``, songs alike as wholes: ``song_a``, ``title_a``, ``song_b``,
          ``title_b``, ``score`` (as in ``nearest_songs``), ``expected_by_chance``,
          ``transposition`` (half-steps from the first song up to the second).
        - ``taught_often``, ``taught_once``, licks in two songs or more and in one only: ``lick``
          (its name), ``beats`` (its length), ``songs``, ``tunes`` and ``places`` (how many),
          ``taught_in`` (ids), ``titles``, ``first_in`` (the title of the song with the lowest
          level), ``first_level``, ``first_estimated`` (whether that level was only suggested).
        - ``alone``, songs that share nothing: ``song``, ``title``, ``beats``.
        - ``techniques``, what tab uses, in the order in which it is first taught: ``technique``,
          ``songs``, ``tunes`` (how many), ``first_in``, ``first_level``, ``first_estimated``,
          ``taught_in`` (ids, by level), ``titles``, ``measures`` (a tuple for each of them, empty
          if it is the whole song); its ``attrs`` hold ``with_tab``, how many songs have tab.
        - ``matrix``: the share of the row's song that the column's song teaches, 0 to 1, by ids; on
          the diagonal, what all the others together teach.
        - ``common_tunes``, tunes of which two groups have versions: ``title``, ``songs_a``,
          ``titles_a``, ``songs_b``, ``titles_b``, ``share_a``, ``share_b``.
        - ``common_licks``: columns as ``taught_once``; ``common_passages``: columns as ``pairs``.
        - ``tunes_only_a``, ``tunes_only_b``: columns as ``tunes``.
        - ``coverage``, ``coverage_b``, what the second group teaches of the first and the other way
          round, the least covered first: ``song``, ``title``, ``share`` (0 to 1), ``covered``,
          ``beats``; their ``attrs`` hold ``share``, ``covered`` and ``beats`` of the whole group.
        - ``missing``, ``missing_b``, licks of a group that the other does not teach.
        - ``group_pairs``, each two groups: ``group_a``, ``group_b``, ``share_a``, ``share_b``,
          ``tunes`` and ``licks`` (how many both have).
        - ``groups``: a dictionary of AuditTables by value, None for unknown values.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    QueryError
        If no song has the column ``by``, or the column no such value; it lists those there are.
    UnknownValueError
        If no song has a value of a filter.

    Examples
    --------
    ::

        easy, hard = melodex.song_filter(level=(1, 2)), melodex.song_filter(level=3)
        found = melodex.audit(catalogue, hard, against=easy, by="term")
        print(found.coverage.attrs["share"], found.groups["autumn"].pairs)
    """
    found = auditing.audit(catalogue, which, against=against, by=by, between=between)
    groups = {group.value: _audit_tables(group.overview, None) for group in found.groups}
    tables = _audit_tables(found.overview, found.comparison)
    return tables._replace(groups=groups, group_pairs=table_of(GroupPair, found.group_pairs))


def _audit_tables(overview: Overview, comparison: Comparison | None) -> AuditTables:
    compared = comparison or NO_COMPARISON
    ids = [song.song for song in overview.songs]
    parts = {name: table_of(kind, getattr(overview, name)) for name, kind in PARTS.items()}
    parts["techniques"].attrs = {"with_tab": overview.with_tab}
    return AuditTables(
        **parts,
        matrix=pd.DataFrame(overview.matrix(), index=ids, columns=ids),
        **{name: table_of(kind, getattr(compared, name)) for name, kind in COMPARED.items()},
        coverage=_coverage_table(compared.coverage_a),
        coverage_b=_coverage_table(compared.coverage_b),
        missing=table_of(LickUse, compared.coverage_a.missing),
        missing_b=table_of(LickUse, compared.coverage_b.missing),
        group_pairs=table_of(GroupPair, ()),
        groups={},
    )


def _coverage_table(coverage: Coverage) -> pd.DataFrame:
    table = table_of(CoveredSong, coverage.songs)
    table.attrs = {name: getattr(coverage, name) for name in ("share", "covered", "beats")}
    return table
