"""Shapes compared with every stretch of every song."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.index.song_arrays import join_performances, perform
from melodex.model.shape import Move, Shape
from melodex.parsing.shape_text import shape_from_text
from melodex.search.shapes import moves_followed, stretches
from tests.strategies import in_tempo, melodies, melody_of, transposed

moves = st.builds(
    Move,
    direction=st.sampled_from([-1, 0, 1]),
    is_step=st.none(),
    is_longer=st.sampled_from([None, True, False]),
) | st.builds(Move, direction=st.sampled_from([-1, 1]), is_step=st.booleans())
shapes = st.lists(moves, min_size=1, max_size=6).map(lambda chosen: Shape(tuple(chosen)))


def arrays_of(*songs):
    return join_performances(
        [perform(song, np.array([(0.0, song.onsets[-1] + song.durations[-1])])) for song in songs]
    )


def follows(move, melody, note):
    """Return whether a melody moves like this from one note to the next."""
    interval = int(melody.pitches[note + 1]) - int(melody.pitches[note])
    growth = melody.durations[note + 1] / melody.durations[note]
    direction = (interval > 0) - (interval < 0)
    size = {None: True, True: abs(interval) <= 2, False: abs(interval) > 2}[move.is_step]
    length = {None: True, True: growth > 1.0001, False: growth < 0.9999}[move.is_longer]
    return direction == move.direction and size and length


def best_by_hand(shape, melody):
    n_moves, last = len(shape.moves), len(melody) - len(shape.moves)
    counts = [
        sum(follows(move, melody, start + place) for place, move in enumerate(shape.moves))
        for start in range(last)
    ]
    return max(counts, default=-1) if len(melody) > n_moves else -1


@given(shape=shapes, songs=st.lists(melodies(max_notes=12), min_size=1, max_size=5))
def test_the_best_stretch_follows_as_many_moves_as_counting_by_hand_finds(shape, songs):
    arrays = arrays_of(*songs)
    _, best = stretches(moves_followed(shape, arrays), arrays)
    assert best.tolist() == [best_by_hand(shape, song) for song in songs]


@given(shape=shapes, song=melodies(), semitones=st.integers(-24, 24))
def test_a_shape_is_the_same_in_every_key_and_at_every_tempo(shape, song, semitones):
    other = in_tempo(transposed(song, semitones), 2.0)
    found = [moves_followed(shape, arrays_of(each)).tolist() for each in (song, other)]
    assert found[0] == found[1]


def test_a_stretch_never_runs_from_one_song_into_the_next():
    songs = arrays_of(melody_of(60, 62), melody_of(64, 60))
    counts, best = stretches(moves_followed(shape_from_text("up, up"), songs), songs)
    assert counts.tolist() == [-1, -1]
    assert best.tolist() == [-1, -1]


def test_a_song_is_found_by_how_its_opening_moves():
    # "Twinkle": C C G G A A G, then long: same, a fifth up, same, a second up, same, down.
    song = melody_of(60, 60, 67, 67, 69, 69, 67, durations=[1, 1, 1, 1, 1, 1, 2])
    shape = shape_from_text("same, leap up, same, step up, same, step down long")
    songs = arrays_of(song)
    assert stretches(moves_followed(shape, songs), songs)[1].tolist() == [6]
