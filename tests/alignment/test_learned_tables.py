"""The tables that the package carries, and how notes are sorted for them."""

import json
from importlib import resources

import numpy as np
import pytest

from melodex.alignment.learned_tables import (
    BEAT_CLASSES,
    PLACE_CLASSES,
    TABLES_FILE,
    beat_classes,
    duration_steps,
    learned_tables,
)
from melodex.kernels.pair_alignment import UNIT
from melodex.model.metre import Metre
from melodex.parsing.beat_strength import beat_strengths

CARRIED = json.loads(
    resources.files("melodex.alignment").joinpath(TABLES_FILE).read_text(encoding="utf-8")
)
TABLES = learned_tables()


@pytest.mark.parametrize("name", sorted(CARRIED["tables"]))
def test_each_table_is_read_as_the_file_has_it(name):
    np.testing.assert_array_equal(getattr(TABLES, name), np.array(CARRIED["tables"][name]))


def test_the_file_has_every_table_in_its_documented_shape():
    shapes = {name: np.shape(table) for name, table in CARRIED["tables"].items()}
    by_beat = (BEAT_CLASSES,)
    assert shapes == {
        "pitch": (14,),
        "beat": by_beat * 2,
        "duration": (5,),
        "scale": (2, 2),
        "split": (),
        "gap_open": by_beat,
        "gap_open_off_beat": (),
        "gap_extend": (),
        "filler": (2, BEAT_CLASSES),
        "filler_after": (2, PLACE_CLASSES),
        "tonics_meet": (),
        "degrees": (2, 12),
    }


def test_the_file_says_what_the_tables_were_learned_from():
    learned_from = CARRIED["learned_from"]
    assert learned_from["script"] == "tests/benchmarks/learn_tables.py"
    assert learned_from["titles"] == "tuning"
    assert learned_from["collections"]
    assert 0 < learned_from["pairs_used"] <= learned_from["candidate_pairs"]
    assert learned_from["notes_matched"] > learned_from["pairs_used"]


def test_a_note_scores_with_no_other_more_than_with_itself():
    assert (TABLES.pitch[1:] < TABLES.pitch[0]).all()
    assert (TABLES.duration[1:] < TABLES.duration[0]).all()
    np.testing.assert_array_equal(TABLES.beat, TABLES.beat.T)
    unequal = ~np.eye(BEAT_CLASSES, dtype=bool)
    assert (TABLES.beat[unequal] < TABLES.beat[0, 0]).all()
    np.testing.assert_array_equal(np.diag(TABLES.beat), TABLES.beat[0, 0])
    assert TABLES.of_same_note > 0


def test_beats_alone_count_twice_and_never_more_than_beat_and_duration():
    np.testing.assert_array_equal(
        np.diag(TABLES.beat_alone), TABLES.beat[0, 0] + TABLES.duration[0]
    )
    unequal = ~np.eye(BEAT_CLASSES, dtype=bool)
    np.testing.assert_array_equal(TABLES.beat_alone[unequal], 2 * TABLES.beat[unequal])


def test_what_is_left_out_or_split_costs_and_a_gap_costs_less_to_extend_than_to_open():
    assert TABLES.split < 0
    assert (TABLES.gap_open < TABLES.gap_extend).all()
    assert TABLES.gap_open_off_beat < TABLES.gap_extend < 0


def test_notes_on_strong_beats_are_left_out_less_often_than_those_off_the_beat():
    assert (np.diff(TABLES.gap_open[1:]) < 0).all()


def test_notes_of_a_roll_on_strong_beats_fill_less_often_if_they_may_carry_the_melody():
    filling, carrying = TABLES.filler
    assert (np.diff(carrying) < 0).all()
    assert (filling > carrying).all()
    assert ((TABLES.filler > 0) & (TABLES.filler < 1)).all()


def test_a_key_has_its_fifth_and_third_far_more_often_than_what_is_not_in_its_scale():
    # Source: Krumhansl & Kessler, Psychological Review 89 (1982): tonic, third and fifth are the
    # most stable degrees of major and minor keys.
    major, minor = TABLES.degrees
    assert set(np.argsort(major)[-3:]) <= {0, 2, 4, 7}
    assert min(major[[0, 2, 4, 5, 7, 9, 11]]) > max(major[[1, 3, 6, 8]])
    assert minor[3] > minor[4]
    np.testing.assert_allclose(np.exp(TABLES.degrees).sum(axis=1), 1, atol=0.01)


# Levels of the metrical grid, each half as strong as the one above (common practice, no source).
@pytest.mark.parametrize(
    ("metre", "positions", "classes"),
    [
        (Metre(4, 4), [0, 2, 1, 3, 0.5, 1.5, 0.25, 0.125], [4, 3, 2, 2, 1, 1, 0, 0]),
        (Metre(3, 4), [0, 1, 2, 0.5, 0.25], [4, 3, 3, 2, 1]),
        (Metre(6, 8), [0, 1.5, 0.5, 2.5, 0.25], [4, 3, 2, 2, 1]),
    ],
)
def test_places_in_a_measure_are_classed_by_their_level_in_the_metre(metre, positions, classes):
    strengths = beat_strengths(np.array(positions, np.float64), metre)
    assert beat_classes(strengths).tolist() == classes


def test_strengths_beyond_the_classes_belong_to_the_nearest():
    assert beat_classes(np.array([2.0, 1.0, 1 / 16, 1 / 64])).tolist() == [4, 4, 0, 0]


def test_durations_are_sorted_by_half_octaves_of_their_ratio_whichever_is_longer():
    ratios = np.array([1, 1.15, 1.5, 2, 3, 4, 16, 1 / 1.5, 1 / 2, 1 / 4])
    assert duration_steps(np.log2(ratios)).tolist() == [0, 0, 1, 2, 3, 4, 4, 1, 2, 4]


def test_scores_are_whole_numbers_of_the_kernels_units():
    for name in ("pitch", "beat", "duration", "split", "gap_open", "gap_extend"):
        in_units = UNIT * np.asarray(getattr(TABLES, name))
        assert in_units.tolist() == np.rint(in_units).tolist(), name


def test_a_ratio_between_two_steps_belongs_to_the_nearest():
    ratios = np.array([0.24, 0.26, 0.74, 0.76, 1.24, 1.26, 1.74, 1.76])
    for log_ratios in (ratios, -ratios):
        assert duration_steps(log_ratios).tolist() == [0, 1, 1, 2, 2, 3, 3, 4]
