import numpy as np

from melodex.alignment.passage import score_songs
from melodex.significance.song_sample import only_songs
from tests.blocks_of_songs import blocks_of
from tests.strategies import melody_of


def test_a_song_scores_alike_alone_and_among_others():
    songs = blocks_of([60, 62, 64, 65, 67], [], [67, 65, 64, 64, 62, 60], [60, 60, 67, 67]).songs
    lick = melody_of(62, 64, 65)
    chosen = np.array([3, 0])
    alone = score_songs(lick, only_songs(songs, chosen), np.arange(2))
    np.testing.assert_array_equal(alone.scores, score_songs(lick, songs, chosen).scores)
    np.testing.assert_array_equal(only_songs(songs, chosen).intervals_of(1), [2, 2, 1, 2])
