"""A short run of the fuzzing that `python -m tests.fuzzing` does at length."""

import random

import pytest

from tests.fuzzing.campaign import fuzz
from tests.fuzzing.fuzz_formats import FORMATS
from tests.fuzzing.mutation import mutated

# Inputs. music21 reads few a second.
COUNTS = {
    "abc": 400, "tab": 400, "licks": 400, "kern": 200, "musicxml": 40, "mxl": 40, "midi": 100,
}  # fmt: skip


@pytest.mark.parametrize("format_name", COUNTS)
def test_damaged_inputs_end_in_songs_or_sentences(format_name):
    campaign = fuzz(format_name, COUNTS[format_name], seed=0)
    assert campaign.inputs == COUNTS[format_name]
    assert campaign.places == {}


@pytest.mark.parametrize("format_name", FORMATS)
def test_the_inputs_before_they_are_damaged_can_be_read(format_name, tmp_path):
    reader = FORMATS[format_name]
    assert [failure for seed in reader.seeds() for failure in reader.read(seed, tmp_path)] == []


def test_the_same_seed_makes_the_same_damage():
    inputs = [mutated([b"abc 12"], [b"!"], random.Random(3)) for _ in range(2)]  # noqa: S311
    assert inputs[0] == inputs[1] != b"abc 12"
