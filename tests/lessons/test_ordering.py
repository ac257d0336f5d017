"""The search for an order: proofs, known best orders, and what it does without time."""

import subprocess
import sys

import numpy as np
import pytest

from melodex.kernels.lesson_order import BEFORE, PEAK, judge_order
from melodex.lessons.ordering import best_order
from tests.benchmarks.lessons import climb, course_with, random_book, solved_book

SECONDS = 20.0


@pytest.mark.parametrize("seed", range(3))
def test_a_book_built_around_an_order_is_put_into_one_as_good(seed):
    book = solved_book(20, seed)
    peak, reused, earlier = best_order(course_with(book), 20, seconds=SECONDS).stages
    assert (peak.value, peak.bound) == (book.peak, book.peak)
    assert (reused.value, reused.bound) == (book.reused_from_last, book.reused_from_last)
    assert earlier.optimal


def test_an_order_of_random_songs_is_proved_and_local_search_finds_none_better():
    course = course_with(random_book(14, 0))
    found = best_order(course, 14, seconds=SECONDS)
    assert all(stage.optimal for stage in found.stages)
    random = np.random.default_rng(0)
    for _ in range(20):
        climbed = judge_order(climb(random.permutation(14).astype(np.int32), course), 14, 0, course)
        assert (climbed[PEAK], -climbed[BEFORE]) >= (
            found.stages[0].value,
            -found.stages[1].value,
        )


def test_without_time_there_is_an_order_all_the_same_with_honest_bounds():
    found = best_order(course_with(random_book(60, 0)), 60, seconds=0.2)
    assert sorted(found.order) == list(range(60))
    peak, reused, _ = found.stages
    assert peak.bound <= peak.value
    assert reused.bound >= reused.value


def test_only_planning_loads_the_solver():
    script = (
        "import melodex.cli, melodex.finder.known_material, melodex.finder.next_songs, sys;"
        "print('ortools' in sys.modules)"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert loaded.stdout.strip() == "False"
