"""The scan for songs with a stretch in common finds what tracing each of them finds."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.stretch_scan import with_stretch_in_common
from melodex.alignment.stretches import matching_stretches
from melodex.alignment.written_notes import whole_songs
from tests.searched import arrays_of
from tests.strategies import melodies

lines = melodies(max_notes=20, pitches=st.integers(58, 68))


@given(songs=st.lists(lines, min_size=2, max_size=5), least=st.sampled_from([4.0, 7.0, 10.0]))
def test_just_those_songs_are_found_of_which_a_stretch_is_traced(songs, least):
    arrays = whole_songs(arrays_of(*songs))
    every = np.arange(len(songs))
    for number, one in enumerate(songs):
        found = with_stretch_in_common(number, arrays, every, np.full(len(songs), least))
        traced = [
            place
            for place, other in enumerate(songs)
            if any(matching_stretches(one, other, least_score=least)) or place == number
        ]
        others = [place for place in found.tolist() if place != number]
        assert others == [place for place in traced if place != number]
