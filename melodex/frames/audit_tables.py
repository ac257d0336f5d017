"""Audits of a repertoire as DataFrames."""

from collections.abc import Mapping
from typing import NamedTuple

import pandas as pd

from melodex.finder import audit as auditing
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.audit import NO_COVERAGE, PARTS, CoveredSong, LickUse, Overview
from melodex.model.catalogue import EVERY_SONG, SongFilter


class AuditTables(NamedTuple):
    """The tables of an audit; ``help(melodex.audit)`` explains their columns."""

    songs: pd.DataFrame
    pairs: pd.DataFrame
    near_duplicates: pd.DataFrame
    taught_often: pd.DataFrame
    taught_once: pd.DataFrame
    alone: pd.DataFrame
    matrix: pd.DataFrame
    coverage: pd.DataFrame
    missing: pd.DataFrame
    groups: "Mapping[str | float | None, AuditTables]"


def audit(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
) -> AuditTables:
    """Show where the songs of a repertoire overlap, repeat each other and leave gaps.

    Licks are those that recur in the catalogue and those that are kept. Measures are counted as
    written, without pickups.

    Parameters
    ----------
    which : SongFilter
        The songs to audit, 500 at most.
    against : SongFilter or None
        Other songs: ``coverage`` shows how much of ``which`` they teach.
    by : str or None
        A column, such as "level", "term" or "metre": ``groups`` has the same tables for the songs
        of each value.

    Returns
    -------
    AuditTables
        A tuple of DataFrames:

        - ``songs``: ``song`` (id), ``title``, ``measures``, ``lick_measures`` (of its licks, each
          lick once).
        - ``pairs``, songs that share licks, the most first: ``song_a``, ``title_a``, ``song_b``,
          ``title_b``, ``measures`` (of the licks shared), ``share_a``, ``share_b`` (part of each
          song that they cover, 0 to 1), ``licks`` (a tuple of names).
        - ``near_duplicates``, songs alike as wholes: ``song_a``, ``title_a``, ``song_b``,
          ``title_b``, ``score`` (as in ``nearest_songs``), ``expected_by_chance``,
          ``transposition`` (half-steps from the first song up to the second).
        - ``taught_often``, ``taught_once``, licks in two songs or more and in one only: ``lick``
          (its name), ``measures`` (its length), ``songs`` (how many), ``places`` (how many),
          ``taught_in`` (a tuple of ids).
        - ``alone``, songs that share no lick: ``song``, ``title``, ``measures``.
        - ``matrix``: measures of licks that each two songs share, ids as rows and columns; on the
          diagonal those of all licks of a song.
        - ``coverage``, only with ``against``, the least covered first: ``song``, ``title``,
          ``share`` (0 to 1), ``covered``, ``measures``; its ``attrs`` hold ``share``, ``covered``
          and ``measures`` of all the songs together.
        - ``missing``, licks that the other songs do not teach: columns as ``taught_once``.
        - ``groups``: a dictionary of AuditTables by value, None for unknown values.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    QueryError
        If no song has the column ``by``; it lists those there are.
    UnknownValueError
        If no song has a value of a filter.

    Examples
    --------
    ::

        easy, hard = melodex.song_filter(level=(1, 2)), melodex.song_filter(level=3)
        found = melodex.audit(catalogue, hard, against=easy, by="term")
        print(found.coverage.attrs["share"], found.groups["autumn"].pairs)
    """
    found = auditing.audit(catalogue, which, against=against, by=by)
    groups = {group.value: _audit_tables(group.overview) for group in found.groups}
    tables = _audit_tables(found.overview)._replace(groups=groups)
    whole = found.coverage or NO_COVERAGE
    coverage = table_of(CoveredSong, whole.songs)
    coverage.attrs = {name: getattr(whole, name) for name in ("share", "covered", "measures")}
    return tables._replace(coverage=coverage, missing=table_of(LickUse, whole.missing))


def _audit_tables(overview: Overview) -> AuditTables:
    tables = [table_of(kind, getattr(overview, name)) for name, kind in PARTS.items()]
    ids = [song.song for song in overview.songs]
    matrix = pd.DataFrame(overview.matrix(), index=ids, columns=ids)
    return AuditTables._make((*tables, matrix, pd.DataFrame(), pd.DataFrame(), {}))
