"""The search for an order: proofs, known best orders, and results without time."""

import subprocess
import sys

import numpy as np
import pytest

from melodex.kernels.lesson_order import BEFORE, KNOWN, evaluate_order
from melodex.lessons.ordering import GRAIN, best_order
from melodex.model.results.lesson import Limits, whole_percent
from tests.benchmarks.lessons import climb, course_with, random_book, solved_book

SECONDS = 20.0


@pytest.mark.parametrize("seed", range(3))
def test_a_book_built_around_an_order_is_put_into_one_as_good(seed):
    book = solved_book(20, seed)
    stages = best_order(course_with(book.material), 20, seconds=SECONDS).stages
    assert all(stage.optimal for stage in stages)
    assert book.known is not None
    assert book.from_last is not None
    assert book.peak is not None
    shares = [whole_percent(stage.value) for stage in stages[:2]]
    # Shares are in 1/10,000 of a song.
    assert shares == [whole_percent(best + 1e-4) for best in (book.known, book.from_last)]
    assert stages[2].value <= book.peak


def test_an_order_of_random_songs_is_proved_and_local_search_finds_none_better():
    course = course_with(random_book(12, 0).material)
    found = best_order(course, 12, seconds=SECONDS)
    assert all(stage.optimal for stage in found.stages)
    best = evaluate_order(np.array(found.order, np.int32), 12, course)
    grain = np.array([12 * GRAIN, 12 * GRAIN])
    random = np.random.default_rng(0)
    for _ in range(20):
        climbed = evaluate_order(climb(random.permutation(12).astype(np.int32), course), 12, course)
        reached = [tuple(judged[[KNOWN, BEFORE]] // grain) for judged in (climbed, best)]
        assert reached[0] <= reached[1]


def test_of_many_songs_the_linear_program_proves_more_than_the_sums_of_shares():
    course = course_with(random_book(40, 0).material, Limits(lessons=6))
    found = best_order(course, 6, seconds=SECONDS / 2)
    assert found.stages[0].value <= found.stages[0].bound < 0.9


def test_without_time_there_is_an_order_all_the_same_with_honest_bounds():
    found = best_order(course_with(random_book(60, 0).material), 60, seconds=0.2)
    assert sorted(found.order) == list(range(60))
    known, from_last, peak = found.stages
    assert known.bound >= known.value
    assert from_last.bound >= from_last.value
    assert peak.bound <= peak.value


def test_only_planning_loads_the_solver():
    script = (
        "import sys, melodex.cli;"
        "from melodex.finder.teaching import known_material, next_songs;"
        "print('ortools' in sys.modules)"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert loaded.stdout.strip() == "False"
