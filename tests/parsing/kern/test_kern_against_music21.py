"""Kern files in music21's corpus, read by melodex and by music21."""

import random

import pytest

from melodex.parsing.kern.kern_reader import read_kern
from tests.benchmarks.kern_speed import bundled_kern, is_read_alike, splits, voices_of

SAMPLE = 8
SEED = 12


def test_every_bundled_kern_file_is_read():
    # 1,326 files; the benchmark kern_speed compares any number of them with music21.
    readings = [read_kern(text, place, "") for place, text in bundled_kern()]
    assert sum(len(reading.songs) for reading in readings) == len(readings) == 1326
    assert not [failure for reading in readings for failure in reading.failures]


@pytest.fixture(scope="module")
def sample() -> list[str]:
    whole = [text for _, text in bundled_kern() if not splits(text) and len(text) < 10_000]
    return random.Random(SEED).sample(whole, SAMPLE)  # noqa: S311


def test_whole_files_give_what_music21_reads(sample):
    assert all(is_read_alike(text) for text in sample)


def test_single_voices_give_what_music21_reads(sample):
    assert all(is_read_alike(voice) for text in sample for voice in voices_of(text))
