"""Note values in letters, as licks are typed."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.notation.note_values_in_letters import note_value_in_letters, rhythm_in_letters
from melodex.parsing.lick_text import lick_from_names


@given(st.sampled_from([1, 2, 3, 5, 7, 9]), st.sampled_from([1, 2, 3, 4, 6, 8, 12]))
def test_a_note_value_is_read_again_as_it_was(parts, of):
    typed = f"D4:{note_value_in_letters(parts / of)} E4"
    assert np.isclose(lick_from_names(typed).melody.durations[0], parts / of)


def test_a_rest_belongs_to_the_note_before_it():
    onsets, durations = np.array([0, 1, 1.5, 3]), np.array([1, 0.5, 0.5, 2])
    assert rhythm_in_letters(onsets, durations) == ("q", "e", "q.", "h")
