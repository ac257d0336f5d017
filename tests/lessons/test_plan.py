"""Plans are the best there are, and keep every limit."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.errors import PlanError
from melodex.lessons.plan import judge_plan, plan_songs
from melodex.lessons.taught import Knowledge, repertoire_of
from melodex.model.lesson import NO_LIMITS, Limits
from tests.lessons.materials import limits_for, material_of, materials
from tests.reference.lesson_order import best_worth, broken_limits, worth_of, worth_of_plan

SECONDS = 5.0


def plan_of(material, limits=NO_LIMITS, known=frozenset(), seconds=SECONDS):
    licks = frozenset(material.licks.index(lick) for lick in known)
    pool = range(len(material.songs))
    return plan_songs(
        repertoire_of(material), pool, limits, known=Knowledge(licks=licks), seconds=seconds
    )


def songs_in(plan):
    return [lesson.song for lesson in plan.lessons]


@settings(max_examples=200)
@given(data=st.data(), material=materials())
def test_a_plan_is_as_good_as_the_best_of_all_orders_and_keeps_the_limits(data, material):
    limits = data.draw(limits_for(material))
    known = data.draw(st.frozensets(st.sampled_from(material.licks))) if material.licks else set()
    best = best_worth(material, limits, known)
    if best is None:
        with pytest.raises(PlanError, match="No order of"):
            plan_of(material, limits, known)
        return
    plan = plan_of(material, limits, known)
    assert broken_limits(material, songs_in(plan), limits, known) == []
    assert worth_of(material, songs_in(plan), known) == worth_of_plan(plan) == best
    assert plan.optimal
    assert [stage.value for stage in plan.stages] == [best[0], -best[1], -best[2]]
    assert all(stage.bound == stage.value for stage in plan.stages)


@given(material=materials(most_songs=6))
def test_the_same_songs_in_the_same_time_give_the_same_plan(material):
    assert plan_of(material) == plan_of(material)


def test_each_lesson_says_what_returns_from_where_and_what_is_new():
    material = material_of(
        {"gate": ["fill", "walk"], "mill": ["fill"], "weir": ["walk", "run"]},
        singles=[1, 2, 0],
        lengths={"fill": 2, "run": 3},
    )
    plan = plan_of(material, Limits(kept=((1, "mill"), (2, "gate"), (3, "weir"))))
    told = [
        [(r.lick, r.state, r.measures, r.from_lesson, r.from_song, r.from_measures) for r in each]
        for each in (lesson.because for lesson in plan.lessons)
    ]
    assert told == [
        [
            ("fill", "new", ((1, 2),), None, None, ()),
            (None, "new", ((3, 4),), None, None, ()),
        ],
        [
            ("fill", "back", ((1, 2),), 1, "mill", ((1, 2),)),
            ("walk", "new", ((3, 3),), None, None, ()),
            (None, "new", ((4, 4),), None, None, ()),
        ],
        [
            ("walk", "back", ((1, 1),), 2, "gate", ((3, 3),)),
            ("run", "new", ((2, 4),), None, None, ()),
        ],
    ]
    assert [(lesson.new, lesson.reused) for lesson in plan.lessons] == [(4, 0), (2, 2), (3, 1)]


def test_what_is_known_before_is_not_new_and_is_said_to_be_known():
    material = material_of({"gate": ["fill"], "mill": ["fill", "run"]}, singles=[1, 0])
    knows_gate = Knowledge(frozenset({0}), frozenset({material.licks.index("fill")}))
    plan = plan_songs(repertoire_of(material), [1], NO_LIMITS, known=knows_gate, seconds=SECONDS)
    (lesson,) = plan.lessons
    assert (lesson.new, lesson.reused) == (1, 1)
    assert (lesson.because[0].state, lesson.because[0].from_song) == ("known", "gate")


def test_a_lick_known_by_name_is_said_to_be_known_and_a_known_song_has_nothing_new():
    material = material_of({"gate": ["fill"]}, singles=[2])
    by_name = plan_of(material, known={"fill"})
    assert [(r.lick, r.state, r.from_song) for r in by_name.lessons[0].because] == [
        ("fill", "known", None),
        (None, "new", None),
    ]
    everything = Knowledge(frozenset({0}), frozenset({0}))
    (lesson,) = plan_songs(
        repertoire_of(material), [0], NO_LIMITS, known=everything, seconds=SECONDS
    ).lessons
    assert (lesson.new, lesson.reused) == (0, 1)


def test_without_songs_there_is_an_empty_plan():
    assert judge_plan(repertoire_of(material_of({})), [], NO_LIMITS).lessons == ()
    plan = plan_of(material_of({}))
    assert plan.lessons == ()
    assert plan.optimal


def test_one_song_is_a_plan_of_one_lesson():
    plan = plan_of(material_of({"gate": ["fill"]}, singles=[3]))
    assert songs_in(plan) == ["gate"]
    assert plan.lessons[0].new == 4


def test_songs_of_licks_alone_that_repeat_note_for_note_count_a_measure_once():
    material = material_of({"gate": []}, singles=[4])
    again = material.measures.copy()
    again[2:, 2] = [1, 2]  # measures 3 and 4 are 1 and 2 again
    plan = plan_of(replace(material, measures=again))
    assert plan.lessons[0].new == 2
    assert plan.lessons[0].because[0].measures == ((1, 4),)


def test_more_lessons_than_songs_get_a_sentence():
    with pytest.raises(PlanError, match="3 lessons cannot be filled from 2 songs"):
        plan_of(material_of({"gate": [], "mill": []}), Limits(lessons=3))


def test_limits_that_conflict_are_named_and_no_others():
    material = material_of({name: [] for name in "abcde"}, singles=[1] * 5, levels=[1, 1, 2, 3, 3])
    limits = Limits(
        level_step=1, most_new=9, first="d", before=(("a", "d"), ("b", "c")), must_come=("e",)
    )
    with pytest.raises(PlanError) as caught:
        plan_of(material, limits)
    assert caught.value.problem == (
        "No order of the songs keeps these limits together: a comes before d; d comes first."
    )


def test_one_limit_that_no_order_keeps_is_named_alone():
    material = material_of({"gate": [], "mill": []}, singles=[5, 1])
    with pytest.raises(PlanError, match=r"this limit: a lesson has at most 4 measures"):
        plan_of(material, Limits(most_new=4))


def test_levels_that_are_unknown_are_not_taken_for_a_number():
    material = material_of({"gate": [], "mill": []}, levels=[1, None])
    with pytest.raises(PlanError, match="the level of 1 songs is unknown, mill the first"):
        plan_of(material, Limits(level_step=1))
    assert plan_of(material).lessons[-1].level in {1, None}


def test_a_limit_on_a_song_that_is_not_planned_gets_a_sentence():
    with pytest.raises(PlanError, match="'weir' is named in a limit but is not among the songs"):
        plan_of(material_of({"gate": []}), Limits(first="weir"))


@given(data=st.data(), material=materials(most_songs=6))
def test_an_edited_plan_is_judged_as_it_stands(data, material):
    limits = replace(data.draw(limits_for(material)), lessons=None)
    order = data.draw(st.permutations(range(len(material.songs))))
    names = [material.songs[song] for song in order]
    plan = judge_plan(repertoire_of(material), order, limits)
    assert songs_in(plan) == names
    assert worth_of_plan(plan) == worth_of(material, names)
    assert bool(plan.broken) == bool(broken_limits(material, names, limits))
    best = best_worth(material, NO_LIMITS)
    assert best is not None
    assert plan.stages[0].bound <= best.peak
    assert plan.stages[1].bound >= -best.not_from_last
