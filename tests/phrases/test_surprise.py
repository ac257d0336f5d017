"""How surprising a stretch of melody is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.phrases.surprise import BACKING, step_bits

SYMBOLS = st.lists(st.integers(0, 3), min_size=3, max_size=30)


def bits_of(symbols, first, steps, counts=None, goes_on=None):
    symbols = np.array(symbols)
    counts = np.ones(len(symbols), np.bool_) if counts is None else np.array(counts)
    goes_on = np.zeros(len(symbols), np.bool_) if goes_on is None else np.array(goes_on)
    bits = step_bits(symbols, np.zeros(len(symbols), np.int64), counts, goes_on)
    return float(bits.of_runs(np.array([first]), np.array([steps]))[0])


def test_what_always_comes_the_same_way_surprises_less_than_what_does_not():
    symbols = [0, 1, 2, 3] * 20 + [2, 0, 3, 1]
    assert bits_of(symbols, 0, 4) < bits_of(symbols, len(symbols) - 4, 4)


@given(symbols=SYMBOLS)
def test_a_run_of_the_same_steps_is_as_surprising_wherever_it_stands(symbols):
    twice = [*symbols, 4, *symbols]
    one = bits_of(twice, 0, len(symbols))
    assert bits_of(twice, len(symbols) + 1, len(symbols)) == pytest.approx(one)


@given(symbols=SYMBOLS, last=st.integers(0, 3))
def test_the_chance_of_a_step_is_its_share_drawn_a_little_to_an_even_one(symbols, last):
    # By hand, for a step without known predecessors: (seen + BACKING / n) / (all + BACKING).
    everything = np.array([*range(4), *symbols, last])
    none = np.zeros(len(everything), np.bool_)
    bits = step_bits(everything, np.zeros(len(everything), np.int64), ~none, none)
    seen = int((everything == last).sum())
    expected = (seen + BACKING / 4) / (len(everything) + BACKING)
    assert 2 ** -(bits.alone[-1] - bits.alone[-2]) == pytest.approx(expected)


def test_a_step_that_goes_on_surprises_only_where_nothing_is_known_before_it():
    symbols = [0, 1, 2, 0, 3, 1]
    on = [True] * 6
    alone = bits_of(symbols, 0, 6, goes_on=on)
    assert 0 < alone < bits_of(symbols, 0, 6)
    assert alone == pytest.approx(bits_of(symbols, 0, 6, counts=[True] + [False] * 5))


def test_a_step_that_only_fills_a_roll_is_no_surprise():
    symbols, fills = [0, 1, 2, 0, 3, 1], [True, True, False, True, False, True]
    counted = bits_of(symbols, 0, 6, counts=fills)
    assert 0 < counted < bits_of(symbols, 0, 6)
    assert bits_of(symbols, 0, 6, counts=[False] * 6) == 0
