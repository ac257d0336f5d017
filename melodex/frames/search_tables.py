"""Songs that use a lick, and songs that are alike, as DataFrames."""

from dataclasses import asdict

import numpy as np
import pandas as pd

from melodex.features.contour import five_class_contour, three_class_contour
from melodex.features.intervals import melodic_intervals
from melodex.features.rhythm import inter_onset_ratios
from melodex.finder import find_lick as finding
from melodex.finder import find_shape as following
from melodex.finder import nearest_songs as comparing
from melodex.finder import shared_phrases as sharing
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.model.results.match import Match, ShapeMatch
from melodex.model.results.phrase import NearSong, SharedPhrase


def find_lick(
    catalogue: Catalogue,
    lick: Lick,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    all_places: bool = False,
) -> pd.DataFrame:
    """Find the songs that use a lick, in any key, a row each, best first.

    Parameters
    ----------
    lick : Lick
        From ``lick_from_notes``, ``lick_from_abc``, ``lick_from_song``, ``kept_lick`` or the like.
    limit : int or None
        How many songs at most, 1 or more; None for every song that is long enough.
    which : SongFilter
        The songs to search.
    all_places : bool
        Whether to return a row for every place in a song that scores as well as its best, or
        nearly, instead of only the first.

    Returns
    -------
    DataFrame
        ``song``: id; ``title``; ``first_measure``, ``last_measure``: as written, a pickup is 0;
        ``measures``: a tuple of measures in the order played; ``transposition``: half-steps from
        the lick up to the song; ``score``: 0 to 1, where 1 is the same notes in the same rhythm;
        ``cost``: half-steps of difference along the cheapest warping path; ``expected_by_chance``:
        how many of the songs searched would match as well by coincidence, missing if unknown;
        ``form``: how the song has the lick, "as written", "doubled", "inside a roll", ...;
        ``alignment``: pairs of note numbers (of the lick, of the song), from 0; ``places``: how
        many such places the song has. Rows are in the order of ``expected_by_chance``, which,
        unlike ``score``, also counts whether the tonics of lick and song agree.

    Raises
    ------
    QueryError
        If the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        lick = melodex.lick_from_names("D4 E4 G4 B4 A4 G4")
        found = melodex.find_lick(catalogue, lick, which=melodex.song_filter(level=(1, 3)))
        print(found[["title", "measures", "score", "expected_by_chance"]])
    """
    matches = finding.find_lick(catalogue, lick, limit=limit, which=which, all_places=all_places)
    return table_of(Match, matches)


def find_shape(
    catalogue: Catalogue,
    text: str,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    all_places: bool = False,
) -> pd.DataFrame:
    """Find the songs that move as a shape does, a row each, best first.

    Parameters
    ----------
    text : str
        Moves between commas: "same", "up" or "down", the last two after "step" (one or two
        half-steps) or "leap" if that is known. "long" or "short" may follow: the note reached is
        longer or shorter than the one before.
    limit : int or None
        How many songs at most, 1 or more; None for every song that is long enough.
    which : SongFilter
        The songs to search.
    all_places : bool
        Whether to return a row for every place in a song that follows as many moves as its best,
        instead of only the first.

    Returns
    -------
    DataFrame
        ``song``: id; ``title``; ``first_measure``, ``last_measure``: as written, a pickup is 0;
        ``measures``: a tuple of measures in the order played; ``score``: the share of the moves
        that the song follows; ``expected_by_chance``: how many of the songs searched would follow
        as many with their moves in random order; ``alignment``: pairs of note numbers (of the
        shape, of the song), from 0; ``places``: how many such places the song has; ``form``:
        "shape". ``transposition`` and ``cost`` are missing: a shape has no key and no intervals.

    Raises
    ------
    QueryError
        If the text is not a shape, or the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        found = melodex.find_shape(catalogue, "step up, leap up, same, step down")
        print(found[["title", "measures", "score", "expected_by_chance"]])
    """
    matches = following.find_shape(catalogue, text, limit=limit, which=which, all_places=all_places)
    return table_of(ShapeMatch, matches)


def nearest_songs(
    catalogue: Catalogue, song: str, *, limit: int | None = 20, which: SongFilter = EVERY_SONG
) -> pd.DataFrame:
    """List the songs whose whole melody is most like a song's, in any key, best first.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title; the song itself is not listed.
    limit : int or None
        How many songs at most, 1 or more; None for all.
    which : SongFilter
        The songs to compare it with.

    Returns
    -------
    DataFrame
        ``song``: id; ``title``; ``score``: 0 to 1, where 1 is the same notes at the same places of
        the measure; ``expected_by_chance``: how many songs of the catalogue would be as much like
        it by coincidence, missing if unknown; ``transposition``: half-steps up to this song.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    QueryError
        If the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        print(melodex.nearest_songs(catalogue, "Cinder Path", limit=5))
    """
    return table_of(NearSong, comparing.nearest_songs(catalogue, song, limit=limit, which=which))


def shared_phrases(catalogue: Catalogue, song_a: str, song_b: str) -> pd.DataFrame:
    """List the phrases that two songs share in any key, each once, the longest first.

    A song with itself shows the phrases that it repeats.

    Parameters
    ----------
    song_a, song_b : str
        Ids or unambiguous parts of titles.

    Returns
    -------
    DataFrame
        ``first_measure_a``, ``last_measure_a``, ``first_measure_b``, ``last_measure_b``: where the
        phrase is in each song, as written; ``transposition``: half-steps from the first place
        up to the second; ``score``: 0 to 1, where 1 is the same notes in the same rhythm;
        ``expected_by_chance``: how many phrases as good two songs of these lengths would share by
        coincidence, missing if unknown; ``notes``: how many are matched; ``form``: how the second
        place plays the first, "as written", "doubled", "halved", "free rhythm", "inside a roll",
        "melody of the roll" if the first is the roll, or "melody of both rolls".

        Its ``attrs`` hold ``share_a`` and ``share_b``, how much of each song the phrases cover
        (dictionaries of ``song``, ``title``, ``notes``, ``all_notes``, ``measures`` and
        ``all_measures``); and ``form``, for a song with itself a list of its parts (dictionaries of
        ``letter``, ``first_measure`` and ``last_measure``).

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has a name; it lists the candidates.

    Examples
    --------
    ::

        shared = melodex.shared_phrases(catalogue, "Cinder Path", "Weir in Spate")
        print(shared, shared.attrs["share_a"]["measures"])
    """
    found = sharing.shared_phrases(catalogue, song_a, song_b)
    frame = table_of(SharedPhrase, found.phrases)
    frame.attrs = {
        "share_a": asdict(found.share_a),
        "share_b": asdict(found.share_b),
        "form": [asdict(part) for part in found.form],
    }
    return frame


def melody_vectors(catalogue: Catalogue, song: str) -> pd.DataFrame:
    """List the features of a song's notes that a search compares, a row for each note as written.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.

    Returns
    -------
    DataFrame
        ``measure``: as written, a pickup is 0; ``onset``: quarter notes from the start of the
        music; ``duration``: quarter notes; ``pitch``: MIDI note number, 60 is middle C;
        ``beat_strength``: above 0, at most 1 (the downbeat), missing in free metre except after a
        bar line. The other columns compare a note with the one before and are missing in the first
        row: ``interval``: half-steps, up is positive; ``contour``: -1, 0 or 1; ``fine_contour``: -2
        to 2, 1 for a step and 2 for a leap; ``ratio``: of its inter-onset interval to the one
        before.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.

    Examples
    --------
    ::

        notes = melodex.melody_vectors(catalogue, "Cinder Path")
        print(notes["interval"].value_counts())
    """
    melody = catalogue.song(catalogue.resolve(song)).melody
    unknown = [np.nan][: len(melody)]
    return pd.DataFrame(
        {
            "measure": melody.measures,
            "onset": melody.onsets,
            "duration": melody.durations,
            "pitch": melody.pitches,
            "beat_strength": np.where(melody.beat_strengths, melody.beat_strengths, np.nan),
            "interval": [*unknown, *melodic_intervals(melody.pitches)],
            "contour": [*unknown, *three_class_contour(melody.pitches)],
            "fine_contour": [*unknown, *five_class_contour(melody.pitches)],
            "ratio": [*unknown, *inter_onset_ratios(melody.onsets, melody.durations)],
        }
    )
