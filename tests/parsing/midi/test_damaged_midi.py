"""A damaged MIDI file gives songs or failures, never an exception."""

import contextlib

from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import ScoreParseError
from melodex.parsing.midi.midi_reader import read_midi
from tests.parsing.midi.damaged_midi import midi_seeds, with_true_lengths

SEEDS = midi_seeds()


@given(
    seed=st.sampled_from(SEEDS),
    changes=st.lists(st.tuples(st.integers(8, 4000), st.integers(0, 255)), max_size=6),
    repaired=st.booleans(),
)
def test_a_file_with_changed_bytes_is_read_or_refused_in_a_sentence(seed, changes, repaired):
    content = bytearray(seed)
    for place, value in changes:
        content[place % len(content)] = value
    damaged = with_true_lengths(bytes(content)) if repaired else bytes(content)
    with contextlib.suppress(ScoreParseError):
        reading = read_midi(damaged, "gate.mid", "")
        assert reading.songs or reading.failures
