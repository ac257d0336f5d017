"""Licks of real tunes, changed step by step as players change them."""

import numpy as np

from melodex.alignment.passage import score_songs
from melodex.index.song_arrays import join_performances, perform
from tests.benchmarks.quality.retrieval_changes import CHANGES
from tests.benchmarks.quality.retrieval_queries import COMBINED, cut_passage
from tests.bundled import bundled_songs

LICKS = 300
CHANGES_IN_A_ROW = 4


def test_the_mean_score_of_three_hundred_licks_falls_with_each_added_change():
    rng = np.random.default_rng(1839)
    songs = bundled_songs("ryansMammoth")
    arrays = [join_performances([perform(song.melody, song.sections)]) for song in songs]
    scores: list[list[float]] = []
    while len(scores) < LICKS:
        number = int(rng.integers(len(songs)))
        cut = cut_passage(songs[number], int(rng.integers(8, 17)), rng)
        if cut is None:
            continue
        passage = cut[1]
        versions = [passage]
        for change in rng.choice(COMBINED, CHANGES_IN_A_ROW, replace=False):
            passage = CHANGES[str(change)](passage, rng)
            versions.append(passage)
        scores.append([score_in(arrays[number], version) for version in versions])
    means = np.mean(scores, axis=0)
    assert means[0] > 0.99  # a few licks run across an ending
    assert (np.diff(means) < -0.03).all()


def score_in(song, passage):
    lick = passage.lick("").melody
    return float(score_songs(lick, song, np.array([0])).shares[0])
