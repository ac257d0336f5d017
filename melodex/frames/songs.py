"""Songs and what they have in common, as DataFrames."""

from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from melodex.features.contour import five_class_contour, three_class_contour
from melodex.features.intervals import melodic_intervals
from melodex.features.rhythm import inter_onset_ratios
from melodex.finder import add_songs as adding
from melodex.finder import find_lick as finding
from melodex.finder import list_songs as listing
from melodex.finder import nearest_songs as comparing
from melodex.finder import shared_phrases as sharing
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.addition import AddReport
from melodex.model.catalogue import EVERY_SONG, SongEntry, SongFilter
from melodex.model.lick import Lick
from melodex.model.match import Match
from melodex.model.phrase import NearSong, SharedPhrase


def add_songs(
    catalogue: Catalogue,
    paths: Iterable[Path | str] = (),
    *,
    bundled: Sequence[str] = (),
) -> AddReport:
    """Read files, folders and collections that music21 carries into the catalogue.

    Returns
    -------
    AddReport
        ``added``, ``updated``, ``unchanged``: numbers of songs; ``failed``: what could not be read.
    """
    return adding.add_songs(catalogue, [Path(path) for path in paths], bundled=bundled)


def list_songs(
    catalogue: Catalogue, which: SongFilter = EVERY_SONG, *, words: str = "", sort: str = "song"
) -> pd.DataFrame:
    """List songs, a row each; columns as `melodex songs --json`."""
    return table_of(SongEntry, listing.list_songs(catalogue, which, words=words, sort=sort))


def find_lick(
    catalogue: Catalogue,
    lick: Lick,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    all_places: bool = False,
) -> pd.DataFrame:
    """Find the songs that use a lick, best first, a row each; columns as `melodex find --json`.

    Parameters
    ----------
    lick : Lick
        From ``lick_from_notes``, ``lick_from_abc``, ``lick_from_song`` and their like.
    limit : int or None
        How many songs at most; None for all.
    which : SongFilter
        The songs to search.
    all_places : bool
        A row for each place in a song.
    """
    matches = finding.find_lick(catalogue, lick, limit=limit, which=which, all_places=all_places)
    return table_of(Match, matches)


def nearest_songs(
    catalogue: Catalogue, song: str, *, limit: int | None = 20, which: SongFilter = EVERY_SONG
) -> pd.DataFrame:
    """List the songs whose whole melody is most like a song's, best first.

    Columns as `melodex near --json`.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    """
    return table_of(NearSong, comparing.nearest_songs(catalogue, song, limit=limit, which=which))


def shared_phrases(catalogue: Catalogue, song_a: str, song_b: str) -> pd.DataFrame:
    """List the phrases that two songs share, or that one repeats, the longest first.

    Columns as `melodex shared --json`; ``melodex.finder.shared_phrases`` tells besides which notes
    answer each other and how much of each song the phrases are.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to a name.
    """
    return table_of(SharedPhrase, sharing.shared_phrases(catalogue, song_a, song_b).phrases)


def melody_vectors(catalogue: Catalogue, song: str) -> pd.DataFrame:
    """List what a search compares of a song's notes, a row for each note as written.

    What leads to a note stands in its row: ``interval`` (half-steps from the note before),
    ``contour`` (-1, 0, 1), ``fine_contour`` (-2 to 2, steps and leaps apart) and ``ratio`` of its
    inter-onset interval to the one before; they are missing in the first row.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    """
    melody = catalogue.song(catalogue.resolve(song)).melody
    unknown = [np.nan][: len(melody)]
    return pd.DataFrame(
        {
            "measure": melody.measures,
            "onset": melody.onsets,
            "duration": melody.durations,
            "pitch": melody.pitches,
            "beat_strength": melody.beat_strengths,
            "interval": [*unknown, *melodic_intervals(melody.pitches)],
            "contour": [*unknown, *three_class_contour(melody.pitches)],
            "fine_contour": [*unknown, *five_class_contour(melody.pitches)],
            "ratio": [*unknown, *inter_onset_ratios(melody.onsets, melody.durations)],
        }
    )
