"""Evaluating and improving orders of songs."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.skeleton import ONSET_GRID
from melodex.kernels.lesson_order import (
    BEFORE,
    BROKEN,
    KNOWN,
    OVER,
    PEAK,
    Goal,
    evaluate_order,
    improve_order,
    is_better,
)
from melodex.lessons.atoms import WHOLE_SONG, atoms_of
from melodex.lessons.course import course_of, songs_taken
from melodex.lessons.knowledge import nothing_known
from melodex.lessons.lesson_bound import LessonBound
from melodex.lessons.start import greedy_order, least_peak, most_known, most_known_from_last
from melodex.model.results.lesson import NO_LIMITS, Limits
from tests.lessons.lettered import lettered
from tests.lessons.materials import known_of, limits_for, materials
from tests.reference.slow_lesson_order import broken_limits, facts_of, worth_of


def course_with(material, limits=NO_LIMITS, known=None):
    pool = range(len(material.songs))
    known = nothing_known(material) if known is None else known
    atoms = atoms_of(material, pool, known)
    return course_of(material, pool, limits, atoms, known, chosen=False)


@given(data=st.data(), material=materials())
def test_an_order_is_judged_as_sets_of_parts_judge_it(data, material):
    limits, known = data.draw(limits_for(material)), data.draw(known_of(material))
    order = data.draw(st.permutations(range(len(material.songs))))
    lessons = songs_taken(limits, len(order))
    taken = [material.songs[song] for song in order[:lessons]]
    course = course_with(material, limits, known)
    judged = evaluate_order(np.array(order, np.int32), lessons, course)
    learned = np.flatnonzero(known).tolist()
    worth = worth_of(material, taken, learned)
    assert judged[KNOWN] == worth.known * WHOLE_SONG
    assert judged[BEFORE] == worth.from_last * WHOLE_SONG
    assert judged[PEAK] == worth.peak * ONSET_GRID
    most_new = course.most_new / ONSET_GRID
    over = [max(0, facts.new - most_new) for facts in facts_of(material, taken, learned)]
    assert judged[OVER] == sum(over) * ONSET_GRID
    broken = set(broken_limits(material, taken, limits, learned)) - {"versions"}
    assert bool(judged[BROKEN]) == bool(broken)


@given(data=st.data(), material=materials(), seed=st.integers(0, 2**40))
def test_an_improved_order_has_every_song_once_and_is_never_worse(data, material, seed):
    limits = data.draw(limits_for(material))
    course, lessons = course_with(material, limits), songs_taken(limits, len(material.songs))
    first = np.array(data.draw(st.permutations(range(len(material.songs)))), np.int32)
    goal = Goal(lessons, data.draw(st.integers(0, 50_000)), 0.1, data.draw(st.integers(1, 1000)))

    def improved():
        return improve_order(np.stack((first, first)), goal, 300, (1000.0, 100.0), seed, course)

    orders = improved()
    assert [sorted(order) for order in orders.tolist()] == [sorted(first.tolist())] * 2
    before, best, last = (evaluate_order(order, lessons, course) for order in (first, *orders))
    assert not is_better(before, best, goal.grain)
    assert not is_better(last, best, goal.grain)
    np.testing.assert_array_equal(orders, improved())


@given(data=st.data(), material=materials())
def test_bounds_hold_for_every_order_that_keeps_the_limits(data, material):
    limits, known = data.draw(limits_for(material)), data.draw(known_of(material))
    lessons = songs_taken(limits, len(material.songs))
    course = course_with(material, limits, known)
    order = np.array(data.draw(st.permutations(range(len(material.songs)))), np.int32)
    judged = evaluate_order(order, lessons, course)
    assert judged[KNOWN] <= most_known(course, lessons)
    assert judged[BEFORE] <= most_known_from_last(course, lessons)
    if not judged[BROKEN]:
        assert judged[PEAK] >= least_peak(course, lessons)
        linear = LessonBound(course, lessons)
        assert judged[KNOWN] <= linear.most_known(seconds=10.0)
        assert judged[BEFORE] <= linear.most_known_from_last(int(judged[KNOWN]), seconds=10.0)


def test_songs_that_have_no_turn_do_not_raise_the_bound():
    material = lettered({"gate": "abcd", "mill": "abcd", "weir": "wxyz", "yard": "klmn"})
    rain, none = frozenset(["rain"]), frozenset[str]()
    material = replace(material, facts=(none, none, rain, rain))
    free, limited = Limits(lessons=2), Limits(lessons=2, in_turn=("rain",))
    bounds = [
        LessonBound(course_with(material, limits), 2).most_known(seconds=10.0)
        for limits in (free, limited)
    ]
    assert bounds == [WHOLE_SONG, 0]


@given(material=materials())
def test_a_greedy_order_has_every_song_once_and_begins_with_the_best_known(material):
    course = course_with(material)
    order = greedy_order(course)
    assert sorted(order.tolist()) == list(range(len(material.songs)))
    assert course.known_shares[order[0]] == course.known_shares.max()
