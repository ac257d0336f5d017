"""What students can play, and what comes next, as DataFrames."""

from dataclasses import asdict
from datetime import date

import pandas as pd

from melodex.finder.teaching import known_material as knowing
from melodex.finder.teaching import next_songs as coming
from melodex.finder.teaching import taught_lessons as teaching
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.known import DueReview, KnownMeasure, NextSong
from melodex.parsing.given_path import FilePath


def known_material(catalogue: Catalogue, song: str, student: FilePath) -> pd.DataFrame:
    """Show how much of a song a student, or a whole class, can already play; a row a measure.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    student : str or path
        A list of the songs that a student can play, one a line; or a CSV with columns ``song`` or
        ``lick``, ``up to measure`` for songs known in part, and ``student`` for a class.

    Returns
    -------
    DataFrame
        ``measure``: as written; ``beats``: quarter notes that its notes take up; ``known_beats``:
        those of them that are known; ``known``: a tuple of (from, to), where in the measure they
        are, in quarter notes from the bar line; ``known_from``: a tuple of dictionaries with
        ``song`` (None: the lick is known by name), ``lick`` (None: the passage is no lick with a
        name) and ``measures`` (empty: the song itself was learned); empty where the measure is new.

        Its ``attrs`` hold ``song`` (id), ``title``, ``share`` (known part of its time, 0 to 1),
        ``beat`` (of its metre, in quarter notes) and ``students``, a list of dictionaries with
        ``student``, ``share`` and ``new``, the first and last measures with something to learn.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    DescriptionError
        If the student's file is wrong; it names the line.

    Examples
    --------
    ::

        known = melodex.known_material(catalogue, "Cinder Path", student_file)
        print(known.attrs["share"], known[known["known_beats"] == 0]["measure"])
    """
    known = knowing.known_material(catalogue, song, student)
    frame = table_of(KnownMeasure, known.measures)
    frame.attrs = {
        "song": known.song,
        "title": known.title,
        "share": known.share,
        "beat": known.beat,
        "students": [asdict(each) for each in known.students],
    }
    return frame


def next_songs(
    catalogue: Catalogue,
    student: FilePath,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
) -> pd.DataFrame:
    """List the songs that a student is closest to, the best known first.

    Versions of tunes that the student knows come after all new tunes.

    Parameters
    ----------
    student : str or path
        A list of the songs that a student can play, or a CSV as for ``known_material``.
    limit : int or None
        How many songs at most, 1 or more; None for all.
    which : SongFilter
        The songs to choose from.

    Returns
    -------
    DataFrame
        ``song``: id; ``title``; ``share``: known part of its time, 0 to 1; ``new``: quarter notes
        to learn; ``step``: a dictionary with ``measures``, the shortest run of measures after which
        half of the song is known, or all, and ``share``, what is known then (None: it has no
        notes); ``new_licks``: a tuple of names; ``opens_the_way_to``: a tuple of ids of songs that
        would be better known afterwards, the most first; ``version_of``: a tuple of ids of known
        songs that are versions of the same tune, empty for a new tune.

    Raises
    ------
    DescriptionError
        If the student's file is wrong; it names the line.
    QueryError
        If the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        print(melodex.next_songs(catalogue, student_file, limit=5)[["title", "share", "new"]])
    """
    return table_of(NextSong, coming.next_songs(catalogue, student, limit=limit, which=which))


def reviews_due(
    catalogue: Catalogue, student: FilePath, *, on: date | str | None = None
) -> pd.DataFrame:
    """List what a student should review, the longest overdue first.

    What was taught is due for review 5 days later, after the second time 25 days later, then four
    months, then two years. Songs and licks without a date in the file are never due.

    Parameters
    ----------
    student : str or path
        A list of the songs that a student can play, or a CSV as for ``known_material``, with lines
        that ``mark_song_taught`` or `melodex taught` added.
    on : date, str or None
        The day, as a date or a text such as "2027-02-01"; None for today.

    Returns
    -------
    DataFrame
        ``student``: empty if the file names no students; ``song``: id, None for a lick; ``lick``:
        its name, None for a song; ``taught``: the last day on which it was taught; ``times``: on
        how many days; ``due``: since when.

    Raises
    ------
    DescriptionError
        If the student's file is wrong; it names the line.
    QueryError
        If the day is not a date.

    Examples
    --------
    ::

        print(melodex.reviews_due(catalogue, student_file, on="2027-02-01")[["song", "due"]])
    """
    return table_of(DueReview, teaching.reviews_due(catalogue, student, on=on))
