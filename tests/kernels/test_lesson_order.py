"""Judging orders of songs and improving them."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.kernels.lesson_order import (
    BEFORE,
    BROKEN,
    EARLIER,
    OVER,
    PEAK,
    improve_order,
    is_better,
    judge_order,
)
from melodex.lessons.course import course_of, lessons_of
from melodex.lessons.start import greedy_order, least_peak, most_reused_from_last
from melodex.lessons.taught import NOTHING, repertoire_of
from melodex.model.lesson import NO_LIMITS
from tests.lessons.materials import limits_for, materials
from tests.reference.lesson_order import broken_limits, new_and_reused, worth_of


def course_with(material, limits=NO_LIMITS):
    return course_of(repertoire_of(material), range(len(material.songs)), limits, NOTHING)


@given(data=st.data(), material=materials())
def test_an_order_is_judged_as_sets_of_licks_judge_it(data, material):
    limits = data.draw(limits_for(material))
    order = data.draw(st.permutations(range(len(material.songs))))
    wanted = data.draw(st.integers(0, 9))
    lessons = lessons_of(limits, len(order))
    taken = [material.songs[song] for song in order[:lessons]]
    judged = judge_order(np.array(order, np.int32), lessons, wanted, course_with(material, limits))
    new = [new for new, _, _ in new_and_reused(material, taken, set())]
    assert judged[OVER] == sum(max(0, n - wanted) for n in new)
    assert (judged[PEAK], -judged[BEFORE], -judged[EARLIER]) == worth_of(material, taken)
    assert bool(judged[BROKEN]) == bool(broken_limits(material, taken, limits))


@given(data=st.data(), material=materials(), seed=st.integers(0, 2**40))
def test_an_improved_order_has_every_song_once_and_is_never_worse(data, material, seed):
    limits = data.draw(limits_for(material))
    course, lessons = course_with(material, limits), lessons_of(limits, len(material.songs))
    first = np.array(data.draw(st.permutations(range(len(material.songs)))), np.int32)

    def improved():
        return improve_order(np.stack((first, first)), lessons, 3, 300, (3.0, 0.3), seed, course)

    orders = improved()
    assert [sorted(order) for order in orders.tolist()] == [sorted(first.tolist())] * 2
    before, best, last = (judge_order(o, lessons, 3, course) for o in (first, *orders))
    assert not is_better(before, best)
    assert not is_better(last, best)
    np.testing.assert_array_equal(orders, improved())


@given(data=st.data(), material=materials())
def test_bounds_without_search_hold_for_every_order_that_keeps_the_limits(data, material):
    limits = data.draw(limits_for(material))
    course, lessons = course_with(material, limits), lessons_of(limits, len(material.songs))
    order = np.array(data.draw(st.permutations(range(len(material.songs)))), np.int32)
    judged = judge_order(order, lessons, 0, course)
    assert judged[BEFORE] <= most_reused_from_last(course, lessons)
    if not judged[BROKEN]:
        assert judged[PEAK] >= least_peak(course, lessons)


@given(material=materials())
def test_without_limits_the_song_with_least_new_material_leads_to_the_least_peak(material):
    course, lessons = course_with(material), len(material.songs)
    floor = least_peak(course, lessons)
    order = greedy_order(course, floor)
    assert sorted(order.tolist()) == list(range(lessons))
    # A mean above every closure is the one reason for which a bound is not reached.
    mean = -(-int(sum(n for n, _, _ in new_and_reused(material, material.songs, set()))) // lessons)
    assert judge_order(order, lessons, floor, course)[PEAK] == floor or floor == mean
