"""What songs share with each other, song by song: matrices made of places of licks."""

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.int64]


def places_by_song(places: NDArray[np.int32], songs: int, licks: int) -> Matrix:
    """Count the places of each lick in each song.

    Parameters
    ----------
    places : shape (n_places, 2 or more), int32
        The song and the lick of each place, from 0; further columns do not matter.

    Returns
    -------
    shape (n_songs, n_licks), int64
    """
    counts = np.zeros((songs, licks), np.int64)
    np.add.at(counts, (places[:, 0], places[:, 1]), 1)
    return counts


def shared_measures(counts: Matrix, lick_measures: NDArray[np.int32]) -> Matrix:
    """Sum the lengths of the licks that each two songs share.

    A lick counts its own length once however often it stands in either song, as it does in lesson
    plans: so much need not be learned anew with the second song. Licks that overlap count both.

    Parameters
    ----------
    counts : shape (n_songs, n_licks), int64
        Places of each lick.
    lick_measures : shape (n_licks,), int32

    Returns
    -------
    shape (n_songs, n_songs), int64
        In measures, symmetric; on the diagonal those of all licks of a song.
    """
    has = (counts > 0).astype(np.int64)
    return (has * lick_measures) @ has.T


def covered_measures(covers: NDArray[np.int32], counts: Matrix) -> Matrix:
    """Count the written measures of each song that licks of each other song cover.

    Parameters
    ----------
    covers : shape (n, 3), int32
        A row for each measure of a song and each lick that covers it: song, measure, lick.
    counts : shape (n_songs, n_licks), int64
        Places of each lick.

    Returns
    -------
    shape (n_songs, n_songs), int64
        Measures of the row's song within licks that the column's song has too.
    """
    songs = len(counts)
    taught_by = counts.T > 0
    covered = np.zeros((songs, songs), np.int64)
    for song in range(songs):
        _, measures, licks = covers[covers[:, 0] == song].T
        numbers, measure_of_row = np.unique(measures, return_inverse=True)
        known = np.zeros((len(numbers), songs), np.bool_)
        np.logical_or.at(known, measure_of_row, taught_by[licks])
        covered[song] = known.sum(axis=0)
    return covered
