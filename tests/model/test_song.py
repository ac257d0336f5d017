"""A song owns its arrays."""

import numpy as np
import pytest

from melodex.model.song import MeasureGrid
from tests.strategies import melody_of, song_of


def test_sections_given_as_pairs_become_an_array_of_quarter_notes():
    song = song_of(melody_of(60), sections=[(0, 4), (0, 4)])
    assert song.sections.dtype == np.float64
    assert song.sections.tolist() == [[0.0, 4.0], [0.0, 4.0]]


def test_a_song_without_sections_has_an_empty_list_of_pairs():
    assert song_of(melody_of(60), sections=[]).sections.shape == (0, 2)


def test_sections_are_read_only():
    song = song_of(melody_of(60))
    with pytest.raises(ValueError, match="read-only"):
        song.sections[0, 0] = 1.0


def test_measures_do_not_change_with_the_arrays_they_were_built_from():
    onsets = np.array([0.0, 4.0])
    measures = MeasureGrid(onsets=onsets, numbers=np.array([1, 2], dtype=np.int32))
    onsets[0] = 9.0
    assert measures.onsets.tolist() == [0.0, 4.0]
