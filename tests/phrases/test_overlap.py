"""What songs share: matrices against a slow, obvious count."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.lessons.course import course_of
from melodex.lessons.taught import NOTHING, repertoire_of
from melodex.model.lesson import NO_LIMITS
from melodex.phrases.overlap import covered_measures, places_by_song, shared_measures
from tests.lessons.materials import material_of, materials


def covers_of(material):
    """List song, measure and lick where a place spans the measure."""
    rows = [
        (song, measure, lick)
        for song, lick, first, last in material.places.tolist()
        for measure in range(first, last + 1)
    ]
    return np.array(rows, np.int32).reshape(-1, 3)


def counts_of(material):
    return places_by_song(material.places, len(material.songs), len(material.licks))


TWO_SONGS = material_of(
    {"a": ["rise", "fall"], "b": ["rise"], "c": []},
    singles=[1, 0, 3],
    lengths={"rise": 2, "fall": 1},
)


def test_songs_share_the_length_of_the_licks_that_both_have():
    shared = shared_measures(counts_of(TWO_SONGS), TWO_SONGS.lick_measures)
    assert shared.tolist() == [[3, 2, 0], [2, 2, 0], [0, 0, 0]]


def test_a_lick_counts_once_however_often_it_returns():
    counts = np.array([[3], [2]])
    assert shared_measures(counts, np.array([2], np.int32)).tolist() == [[2, 2], [2, 2]]


def test_places_are_counted_by_song_and_lick():
    places = np.array([[1, 0, 1, 2], [1, 0, 5, 6], [0, 1, 1, 1]], np.int32)
    assert places_by_song(places, 2, 2).tolist() == [[0, 1], [2, 0]]


def test_a_measure_within_two_shared_licks_is_covered_once():
    covers = np.array([(0, 1, 0), (0, 1, 1), (0, 2, 1), (0, 3, 2), (1, 1, 0), (1, 2, 1)], np.int32)
    counts = np.array([[1, 1, 1], [1, 1, 0]])
    assert covered_measures(covers, counts).tolist() == [[3, 2], [2, 2]]


@given(materials())
def test_shared_material_is_what_a_lesson_plan_counts_as_shared(material):
    # The plan's own count, on which its proofs rest.
    repertoire = repertoire_of(material)
    pool = range(len(material.songs))
    course = course_of(repertoire, pool, NO_LIMITS, NOTHING)
    shared = shared_measures(counts_of(material), material.lick_measures)
    assert shared.tolist() == course.shared.tolist()


@given(materials())
def test_covered_measures_equal_a_count_by_sets(material):
    covered = covered_measures(covers_of(material), counts_of(material))
    rows, places = covers_of(material).tolist(), material.places.tolist()
    for song in range(len(material.songs)):
        for other in range(len(material.songs)):
            taught = {lick for owner, lick, *_ in places if owner == other}
            within = {measure for owner, measure, lick in rows if owner == song and lick in taught}
            assert covered[song, other] == len(within)


@given(materials(), st.randoms(use_true_random=False))
def test_the_order_of_songs_only_reorders_the_matrix(material, random):
    order = random.sample(range(len(material.songs)), len(material.songs))
    counts = counts_of(material)
    shared = shared_measures(counts, material.lick_measures)
    reordered = shared_measures(counts[order], material.lick_measures)
    assert reordered.tolist() == shared[np.ix_(order, order)].tolist()


@pytest.mark.parametrize("songs", [0, 1, 3])
def test_songs_without_licks_share_nothing(songs):
    counts = places_by_song(np.empty((0, 4), np.int32), songs, 0)
    assert shared_measures(counts, np.empty(0, np.int32)).tolist() == [[0] * songs] * songs
    assert not covered_measures(np.empty((0, 3), np.int32), counts).any()
