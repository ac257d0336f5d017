"""What songs teach and how to teach it, as DataFrames."""

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import NamedTuple

import pandas as pd

from melodex.finder import audit as auditing
from melodex.finder import known_material as knowing
from melodex.finder import next_songs as coming
from melodex.finder import place_lick as placing
from melodex.finder import plan_lessons as planning
from melodex.finder import recurring_licks as recurring
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.audit import NO_COVERAGE, PARTS, CoveredSong, LickUse, Overview
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.known import KnownMeasure, NextSong
from melodex.model.lesson import NO_LIMITS, Lesson, Limits
from melodex.model.lick import Lick
from melodex.model.placement import Placement
from melodex.model.recurring import RecurringLick


def recurring_licks(
    catalogue: Catalogue,
    *,
    limit: int = 20,
    chord: str | None = None,
    which: SongFilter = EVERY_SONG,
) -> pd.DataFrame:
    """List the licks that several tunes share, the most surprising and widespread first.

    Columns as `melodex licks --json`; each of ``occurrences`` is a dictionary.

    Parameters
    ----------
    chord : str or None
        Only licks that two tunes or more have mostly over this chord: "C", "D7".

    Raises
    ------
    QueryError
        If ``chord`` is no chord symbol.
    """
    found = recurring.recurring_licks(catalogue, limit=limit, chord=chord, which=which)
    return table_of(RecurringLick, found)


def plan_lessons(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    limits: Limits = NO_LIMITS,
    student: Path | str | None = None,
    seconds: float = planning.SECONDS,
) -> pd.DataFrame:
    """Put songs into a sequence of lessons, a row each; columns as in `melodex lessons --json`.

    The table's ``attrs`` hold ``stages`` (aim, value and bound of each aim) and ``optimal``.

    Parameters
    ----------
    which : SongFilter
        The songs to order or, where ``limits.lessons`` says how many, to choose from.
    limits : Limits
        ``melodex.Limits(level_step=1, most_new=8, first="...")``: what no plan may break.
    student : path or None
        A CSV of what a student, or each student of a class, can play.
    seconds : float
        The time allowed.

    Raises
    ------
    MelodexError
        If limits conflict, a name is not known or a file is wrong.
    """
    file = None if student is None else Path(student)
    plan = planning.plan_lessons(catalogue, which, limits=limits, student=file, seconds=seconds)
    frame = table_of(Lesson, plan.lessons)
    frame.attrs = {"stages": [asdict(stage) for stage in plan.stages], "optimal": plan.optimal}
    return frame


def known_material(catalogue: Catalogue, song: str, student: Path | str) -> pd.DataFrame:
    """Say of each measure of a song from where a student knows it; without a reason it is new.

    Columns as `measures` of `melodex known --json`; the table's ``attrs`` hold ``song``, ``share``
    and ``students`` (name, share and new measures of each of a class).

    Raises
    ------
    MelodexError
        If a name is not known or the file is wrong.
    """
    known = knowing.known_material(catalogue, song, Path(student))
    frame = table_of(KnownMeasure, known.measures)
    students = [asdict(each) for each in known.students]
    frame.attrs = {"song": known.song, "share": known.share, "students": students}
    return frame


def next_songs(
    catalogue: Catalogue,
    student: Path | str,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
) -> pd.DataFrame:
    """List the songs that a student is closest to, a row each; columns as `melodex next --json`.

    Raises
    ------
    MelodexError
        If the student's file is wrong.
    """
    found = coming.next_songs(catalogue, Path(student), limit=limit, which=which)
    return table_of(NextSong, found)


class AuditTables(NamedTuple):
    """What an audit tells, a table each; columns as in `melodex audit --json`."""

    songs: pd.DataFrame
    pairs: pd.DataFrame
    near_duplicates: pd.DataFrame
    taught_often: pd.DataFrame
    taught_once: pd.DataFrame
    alone: pd.DataFrame
    matrix: pd.DataFrame  # song by song: measures of licks shared; the diagonal: of all licks
    coverage: pd.DataFrame  # its attrs: share, covered, measures of all songs
    missing: pd.DataFrame  # licks that the other songs do not teach
    groups: "Mapping[str | float | None, AuditTables]"  # by value


def audit(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
) -> AuditTables:
    """Tell where songs overlap, repeat each other and leave gaps.

    Parameters
    ----------
    which : SongFilter
        The songs to audit, 500 at most.
    against : SongFilter or None
        Other songs: ``coverage`` tells how much of ``which`` they teach.
    by : str or None
        A column, "level" or "term": ``groups`` tells the same of the songs of each value.

    Raises
    ------
    MelodexError
        If there are too many songs, none to compare with, or no such column.
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


def place_lick(
    catalogue: Catalogue, song: str, lick: Lick, *, octaves: int = 0, limit: int | None = 5
) -> pd.DataFrame:
    """List the places where a lick fits into a song, best first; columns as `melodex place --json`.

    ``melodex.finder.place_lick`` gives the song's tab with the lick in it besides.

    Parameters
    ----------
    octaves : int
        Octaves to move the song by, where it does not lie on the neck.
    limit : int or None
        How many places at most; None for all that were fingered.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    MelodyError
        If the song or the lick does not lie on the neck, or no stretch of the song suits the lick.
    """
    found = placing.place_lick(catalogue, song, lick, octaves=octaves)
    return table_of(Placement, [place.placement for place in found.places[:limit]])
