import numpy as np
import pytest

from melodex.significance.tail import fit_tail


@pytest.mark.parametrize("rate", [0.5, 2.0])
def test_an_exponential_tail_is_recovered_and_carried_on(rate):
    # By arithmetic: a share e^(-rate * x) of exponential values reaches x.
    values = np.random.default_rng(1).exponential(1 / rate, 100_000)
    tail = fit_tail(values)
    assert tail.rate == pytest.approx(rate, rel=0.15)
    reached = np.array([0.7, 3.0, 7.0, 12.0]) / rate
    np.testing.assert_allclose(tail.log_share(reached), -rate * reached, rtol=0.15)


def test_a_tail_that_falls_ever_faster_is_followed_as_far_as_it_was_measured():
    # A share 0.001350 of normal values reaches 3 (from memory; any table of the normal
    # distribution).
    values = np.random.default_rng(2).normal(size=100_000)
    share = np.exp(fit_tail(values).log_share(np.array([0.0, 3.0])))
    np.testing.assert_allclose(share, [0.5, 0.001350], rtol=0.15)


def test_the_share_never_rises_with_the_value_and_is_1_below_all():
    tail = fit_tail(np.random.default_rng(3).normal(size=5_000))
    shares = np.exp(tail.log_share(np.linspace(-9, 30, 400)))
    assert (np.diff(shares) <= 0).all()
    assert shares[0] == 1


def test_values_that_some_sets_do_not_list_count_for_nothing():
    # Of 100 sets of 5,000 exponential values half list their 200 highest, half only the highest.
    rng = np.random.default_rng(4)
    sets = np.sort(rng.exponential(size=(100, 5_000)), axis=1)
    highest = [values[-200 if place % 2 else -1 :] for place, values in enumerate(sets)]
    tail = fit_tail(rng.exponential(size=100_000), highest, sets.size)
    reached = np.array([4.0, 5.0, 6.0])
    np.testing.assert_allclose(tail.log_share(reached), -reached, atol=0.2)
