"""Source: Karlin & Altschul, PNAS 87 (1990) 2264-2268; it applies to fixed scores without gaps."""

import numpy as np
import pytest

from melodex.significance.chance_of_phrases import constants_of
from melodex.significance.tail import TENTHS, Tail, fit_tail
from tests.reference.karlin_altschul import (
    best_local_scores,
    decay_rate,
    excursions,
    expected_matches,
)

PAIRS, NOTES = 16_000, 150


def random_best_scores(scores, letters: int, *, width: float):
    """Score random pairs; equal scores are spread evenly up to the next one."""
    rng = np.random.default_rng(letters)
    queries, songs = rng.integers(letters, size=(2, PAIRS, NOTES))
    best = best_local_scores(scores, queries, songs)
    return best + width * rng.random(PAIRS)


def mean_rate(tail: Tail) -> float:
    """Return the mean slope of the fitted logarithm over the measured range."""
    tenth = len(TENTHS) - 1
    fall = tail.log_shares[tenth] - tail.log_shares[-1]
    return fall / (tail.values[-1] - tail.values[tenth])


@pytest.mark.parametrize(("letters", "base"), [(4, 3), (12, 11)])
def test_the_equation_for_the_rate_has_its_known_solutions(letters, base):
    # For +1 / -1 with match probability p the rate is ln((1 - p) / p), by arithmetic.
    scores = 2 * np.eye(letters) - 1
    assert decay_rate(scores, np.full(letters, 1 / letters)) == pytest.approx(np.log(base))


def test_the_worked_example_in_numbers():
    # By arithmetic: lambda = .318, K = .134, S = 100, m = 250, n = 1e9.
    assert expected_matches(250e9, 0.318, 0.134, 100) == pytest.approx(5.18e-4, rel=2e-3)


def test_the_fitted_tail_of_random_lines_falls_at_the_published_rate():
    # Twelve pitch classes, with pairs scored as melodex does when beats and durations agree:
    # multiples of .2, so that the scores are spread over that width.
    apart = np.abs(np.subtract.outer(np.arange(12), np.arange(12)))
    similarity = np.array([1, 0.5, 0.3, 0.1, 0, 0, 0])[np.minimum(apart, 12 - apart)]
    scores = 2 * similarity - 1
    tail = fit_tail(random_best_scores(scores, 12, width=0.2))
    assert mean_rate(tail) == pytest.approx(decay_rate(scores, np.full(12, 1 / 12)), rel=0.1)


def test_the_fitted_tail_expects_as_many_matches_as_the_published_law():
    # K of +1 / -1 scores is (q - p)^2 / q by the gambler's ruin: descents come at the rate q - p,
    # and from each the walk climbs to S with probability (1 - p / q) * (p / q)^S. A match of score
    # S takes S / (q - p) notes, so that many starts fewer there are.
    p, q = 1 / 4, 3 / 4
    tail = fit_tail(random_best_scores(2 * np.eye(4) - 1, 4, width=1.0))
    rate, factor = np.log(q / p), (q - p) ** 2 / q
    assert mean_rate(tail) == pytest.approx(rate, rel=0.1)
    for score in (10, 11, 12):
        starts = (NOTES - score / (q - p)) ** 2
        expected = expected_matches(starts, rate, factor, score)
        fitted = float(np.exp(tail.log_share(np.array([score], np.float64)))[0])
        # Fifty values are beyond the last knot: an error of one in seven either way.
        assert 1 / 1.4 < fitted / expected < 1.4


def test_the_constants_of_phrases_are_those_of_the_published_law():
    # Gains and losses of exponential size, a step each way by a coin: then lambda solves
    # p a / (a - lambda) + q b / (b + lambda) = 1, which is lambda = q a - p b, and K follows from
    # the gambler's ruin, as above; sizes of steps have no memory, so that both are exact.
    p, q, gain_rate, loss_rate = 0.3, 0.7, 2.0, 1.0
    rate = q * gain_rate - p * loss_rate
    sinking = q / loss_rate - p / gain_rate
    climbs = rate / (loss_rate + rate) * (gain_rate - rate) / gain_rate
    rng = np.random.default_rng(1990)
    steps = 400_000
    gains, losses = rng.exponential(1 / gain_rate, steps), rng.exponential(1 / loss_rate, steps)
    heights = excursions(np.where(rng.random(steps) < p, gains, -losses))
    found = constants_of(heights[heights >= 2], 2, steps)
    assert found is not None
    assert found.rate == pytest.approx(rate, rel=0.05)
    for score in (2, 4):
        expected = expected_matches(steps, rate, loss_rate * sinking * climbs, score)
        assert found.expected(score, steps) == pytest.approx(expected, rel=0.15)
