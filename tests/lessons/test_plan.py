"""Plans are optimal, and satisfy every limit."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.errors import PlanError
from melodex.lessons.knowledge import knowledge_of, nothing_known
from melodex.lessons.plan import judge_plan, plan_songs
from melodex.model.results.known import Skill
from melodex.model.results.lesson import NO_LIMITS, Limits, Reason
from tests.lessons.lettered import lettered
from tests.lessons.materials import known_of, limits_for, materials
from tests.reference.slow_lesson_order import best_worth, broken_limits, worth_of, worth_of_plan

SECONDS = 5.0


def plan_of(material, limits=NO_LIMITS, known=None, seconds=SECONDS):
    known = nothing_known(material) if known is None else known
    pool = range(len(material.songs))
    return plan_songs(material, pool, limits, known=known, seconds=seconds)


def judged(material, order, limits=NO_LIMITS):
    return judge_plan(material, order, limits, nothing_known(material))


def knowing(material, *songs, licks=()):
    return knowledge_of(Skill("", frozenset(songs), frozenset(licks)), material)


def songs_in(plan):
    return [lesson.song for lesson in plan.lessons]


@settings(max_examples=60)
@given(data=st.data(), material=materials())
def test_a_plan_is_as_good_as_the_best_of_all_orders_and_keeps_the_limits(data, material):
    limits, known = data.draw(limits_for(material)), data.draw(known_of(material))
    learned = np.flatnonzero(known).tolist()
    best = best_worth(material, limits, learned)
    if best is None:
        with pytest.raises(PlanError, match=r"No order of|cannot be filled"):
            plan_of(material, limits, known)
        return
    plan = plan_of(material, limits, known)
    assert broken_limits(material, songs_in(plan), limits, learned) == []
    worth = worth_of(material, songs_in(plan), learned)
    assert worth == worth_of_plan(plan)
    assert worth.burden == best.burden
    assert plan.optimal
    means = [float(worth.known) / worth.lessons, float(worth.from_last) / worth.lessons]
    assert [stage.value for stage in plan.stages] == pytest.approx([*means, worth.peak], abs=1e-8)


@given(material=materials())
def test_the_same_songs_in_the_same_time_give_the_same_plan(material):
    assert plan_of(material) == plan_of(material)


def test_each_lesson_says_what_comes_back_from_where_and_what_is_new():
    material = lettered(
        {"gate": "abx", "mill": "cab", "weir": "cda"}, licks={"fill": "ab", "run": "d"}
    )
    plan = judged(material, [0, 1, 2])
    assert [lesson.because for lesson in plan.lessons] == [
        (Reason("fill", "new", ((1, 2),)), Reason(None, "new", ((3, 3),))),
        (
            Reason("fill", "back", ((2, 3),), 1, "gate", ((1, 2),)),
            Reason(None, "new", ((1, 1),)),
        ),
        (
            Reason(None, "back", ((1, 1), (3, 3)), 2, "mill", ((1, 2),)),
            Reason("run", "new", ((2, 2),)),
        ),
    ]
    assert [(lesson.new, lesson.reused) for lesson in plan.lessons] == [(12, 0), (4, 8), (4, 8)]
    shares = [lesson.share_from_last for lesson in plan.lessons]
    assert shares == pytest.approx([0, 2 / 3, 2 / 3], abs=1e-4)


def test_repeated_material_is_credited_to_the_lesson_just_before_where_that_has_it():
    material = lettered({"gate": "abcd", "mill": "cdxy", "weir": "abcd"})
    reasons = judged(material, [0, 1, 2]).lessons[2].because
    assert reasons == (
        Reason(None, "back", ((3, 4),), 2, "mill", ((1, 2),)),
        Reason(None, "back", ((1, 2),), 1, "gate", ((1, 4),)),
    )


def test_what_is_known_before_is_not_new_and_is_listed_as_known():
    material = lettered({"gate": "ab", "mill": "abcd"})
    known = knowing(material, "gate")
    (lesson,) = plan_of(material, known=known).lessons
    assert (lesson.song, lesson.share, lesson.new, lesson.reused) == ("mill", 0.5, 8, 8)
    assert lesson.because[0] == Reason(None, "known", ((1, 2),), None, "gate", ((1, 2),))


def test_a_lick_known_by_name_is_listed_as_known():
    material = lettered({"gate": "abc"}, licks={"fill": "ab"})
    (lesson,) = plan_of(material, known=knowing(material, licks=["fill"])).lessons
    assert lesson.because == (
        Reason(None, "known", ((1, 2),)),
        Reason(None, "new", ((3, 3),)),
    )


def test_what_a_song_repeats_is_new_once_and_known_as_often_as_it_stands_there():
    material = lettered({"gate": "aabb", "mill": "aaac"})
    plan = judged(material, [0, 1])
    assert [(lesson.new, lesson.share) for lesson in plan.lessons] == [(8, 0), (4, 0.75)]


def test_of_the_versions_of_a_tune_one_is_chosen_the_one_that_shares_most():
    material = lettered(
        {"dusk": "abcd", "dusk-again": "abce", "mill": "exyz", "weir": "klmn"}, tunes=[0, 0, 2, 3]
    )
    assert sorted(songs_in(plan_of(material, Limits(lessons=2)))) == ["dusk-again", "mill"]


def test_songs_that_are_all_given_come_in_every_version():
    material = lettered({"dusk": "abcd", "dusk-again": "abce"}, tunes=[0, 0])
    assert len(plan_of(material).lessons) == 2


def test_a_version_that_a_limit_names_comes_instead_of_the_others_or_beside_another_named():
    material = lettered({"dusk": "abcd", "dusk-again": "abce", "mill": "wxyz"}, tunes=[0, 0, 2])
    one = plan_of(material, Limits(lessons=2, must_come=("dusk",)))
    assert sorted(songs_in(one)) == ["dusk", "mill"]
    both = plan_of(material, Limits(lessons=2, must_come=("dusk", "dusk-again")))
    assert sorted(songs_in(both)) == ["dusk", "dusk-again"]


def test_no_version_of_a_tune_that_is_known_is_chosen():
    material = lettered({"dusk": "abcd", "dusk-again": "abce", "mill": "wxyz"}, tunes=[0, 0, 2])
    plan = plan_of(material, Limits(lessons=1), knowing(material, "dusk"))
    assert songs_in(plan) == ["mill"]


def test_more_lessons_than_tunes_get_a_sentence():
    material = lettered({"dusk": "abcd", "dusk-again": "abce"}, tunes=[0, 0])
    with pytest.raises(PlanError, match="2 lessons cannot be filled from 1 song,"):
        plan_of(material, Limits(lessons=2))


def test_a_song_that_must_not_come_does_not_and_an_edited_plan_with_it_is_broken():
    material = lettered({"gate": "ab", "mill": "ab", "weir": "xy"})
    limits = Limits(must_not_come=("mill",))
    assert sorted(songs_in(plan_of(material, limits))) == ["gate", "weir"]
    assert judged(material, [0, 1], limits).broken == ("mill must not come",)


def themed(songs, **themes):
    facts = tuple(frozenset(themes[song].split()) for song in songs)
    return replace(lettered(songs), facts=facts)


def test_themes_come_in_turn_and_a_plan_edited_otherwise_is_broken():
    songs = {"gate": "abcd", "mill": "abce", "weir": "fghi", "lane": "fghj"}
    material = themed(songs, gate="rain", mill="rain", weir="sun", lane="sun rain")
    limits = Limits(in_turn=("Rain", "sun"))
    themes = dict(zip(material.songs, material.facts, strict=True))
    order = songs_in(plan_of(material, limits))
    for place, song in enumerate(order):
        assert ("rain", "sun")[place % 2] in themes[song]
    broken = judged(material, [material.songs.index(s) for s in reversed(order)], limits).broken
    assert broken == ("the songs are Rain, sun in turn",)


def test_a_theme_that_no_song_has_gets_a_sentence():
    with pytest.raises(PlanError, match="described as 'snow'"):
        plan_of(themed({"gate": "ab"}, gate="rain"), Limits(in_turn=("rain", "snow")))


def test_every_third_lesson_reviews_the_two_songs_before_it():
    material = lettered({"gate": "ab", "mill": "bc", "weir": "cd", "yard": "de", "lane": "ef"})
    plan = judged(material, [0, 1, 2, 3, 4], Limits(review_every=3))
    assert [lesson.lesson for lesson in plan.lessons] == [1, 2, 4, 5, 7]
    assert [(review.lesson, review.songs) for review in plan.reviews] == [
        (3, ("gate", "mill")),
        (6, ("weir", "yard")),
    ]
    assert plan.lessons[2].because[0].from_lesson == 2


def test_the_number_of_lessons_wanted_includes_the_reviews():
    material = lettered({"gate": "ab", "mill": "bc", "weir": "cd", "yard": "de", "lane": "ef"})
    plan = plan_of(material, Limits(lessons=6, review_every=3))
    assert len(plan.lessons) == 4
    assert [review.lesson for review in plan.reviews] == [3, 6]


def test_a_song_cannot_be_kept_in_a_review():
    material = lettered({"gate": "ab", "mill": "bc", "weir": "cd"})
    with pytest.raises(PlanError, match="'gate' cannot be kept in lesson 3, which is a review"):
        plan_of(material, Limits(review_every=3, kept=((3, "gate"),)))


def test_without_songs_there_is_an_empty_plan():
    material = lettered({"gate": "ab"})
    assert judged(material, []).lessons == ()
    plan = plan_of(material, known=knowing(material, "gate"))
    assert plan.lessons == ()
    assert plan.optimal


def test_one_song_is_a_plan_of_one_lesson():
    plan = plan_of(lettered({"gate": "abcd"}))
    assert songs_in(plan) == ["gate"]
    assert plan.lessons[0].new == 16


def test_more_lessons_than_songs_get_a_sentence():
    with pytest.raises(PlanError, match="3 lessons cannot be filled from 2 songs"):
        plan_of(lettered({"gate": "a", "mill": "b"}), Limits(lessons=3))


def test_limits_that_conflict_are_named_and_no_others():
    material = lettered({name: name for name in "abcde"}, levels=[1, 1, 2, 3, 3])
    limits = Limits(
        level_step=1, most_new=9, first="d", before=(("a", "d"), ("b", "c")), must_come=("e",)
    )
    with pytest.raises(PlanError) as caught:
        plan_of(material, limits)
    assert caught.value.problem == (
        "No order of the songs satisfies these limits together: a comes before d; d comes first."
    )


def test_one_limit_that_no_order_keeps_is_named_alone():
    material = lettered({"gate": "abcde", "mill": "a"})
    with pytest.raises(PlanError, match=r"this limit: a lesson has at most 12 quarter notes"):
        plan_of(material, Limits(most_new=12))


def test_levels_that_are_unknown_are_not_taken_for_a_number():
    material = lettered({"gate": "a", "mill": "b"}, levels=[1, None])
    with pytest.raises(PlanError, match="the level of 1 songs is unknown, mill the first"):
        plan_of(material, Limits(level_step=1))
    assert plan_of(material).lessons[-1].level in {1, None}


def test_a_limit_on_a_song_that_is_not_planned_gets_a_sentence():
    with pytest.raises(PlanError, match="'weir' is named in a limit but is not among the songs"):
        plan_of(lettered({"gate": "a"}), Limits(first="weir"))


@given(data=st.data(), material=materials())
def test_an_edited_plan_is_judged_as_it_stands(data, material):
    limits = replace(data.draw(limits_for(material)), lessons=None)
    order = data.draw(st.permutations(range(len(material.songs))))
    names = [material.songs[song] for song in order]
    plan = judged(material, order, limits)
    assert songs_in(plan) == names
    assert worth_of_plan(plan) == worth_of(material, names)
    assert bool(plan.broken) == bool(broken_limits(material, names, limits))
    best = best_worth(material, NO_LIMITS)
    assert best is not None
    assert plan.stages[0].bound >= float(best.known) / len(names) - 1e-8
    assert plan.stages[2].bound <= best.peak


def test_the_first_lesson_is_at_most_a_step_above_the_lowest_level():
    material = lettered({"gate": "a", "mill": "bcde", "weir": "bcd"}, levels=[1, 3, 4])
    free, limited = plan_of(material, Limits(lessons=2)), Limits(lessons=2, level_step=1)
    assert songs_in(free) == ["mill", "weir"]
    with pytest.raises(PlanError, match="the level begins at the lowest or the student's"):
        plan_of(material, limited)
    assert songs_in(plan_of(material, replace(limited, level_step=2))) == ["mill", "weir"]


def test_for_a_student_levels_go_up_from_the_highest_that_was_learned():
    material = lettered(
        {"gate": "a", "mill": "bcde", "weir": "bcd", "yard": "k"}, levels=[1, 3, 4, 2]
    )
    limits = Limits(lessons=2, level_step=1)
    assert songs_in(plan_of(material, limits, known=knowing(material, "yard"))) == ["mill", "weir"]


def test_an_edited_plan_that_begins_too_high_breaks_the_step_of_levels():
    material = lettered({"gate": "a", "mill": "b"}, levels=[1, 3])
    assert judged(material, [0, 1], Limits(level_step=2)).broken == ()
    assert judged(material, [1, 0], Limits(level_step=2)).broken == ()
    assert judged(material, [1, 0], Limits(level_step=1)).broken == (
        "the level begins at the lowest or the student's and goes up by at most 1 a lesson",
    )
