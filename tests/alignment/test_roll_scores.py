"""Where a melody's notes are expected in a roll: by how long the one before lasts."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.forms import INSIDE_A_ROLL
from melodex.alignment.learned_tables import learned_tables, place_classes
from melodex.alignment.pair_scores import (
    NOT_FILLER_WEIGHT,
    Kinds,
    LickNotes,
    lick_line,
    pair_scores,
    shares_of_measure,
)
from melodex.features.scale_classes import unknown_scale
from melodex.kernels.pair_alignment import UNIT
from melodex.parsing.lick_numbers import lick_from_notes

TABLES = learned_tables()
WITHIN, AT_THE_END = 2, 3  # places: on half the strength of what the melody's note lasts; on it


def line_in(metre, durations, *, position=0.0):
    """Return the line of a lick without rests, that repeats one pitch."""
    onsets = np.cumsum([0.0, *durations[:-1]])
    pitches = [60] * len(durations)
    lick = lick_from_notes(pitches, onsets, durations, metre=metre, position=position)
    return lick_line(lick.melody)


def kinds_in_a_roll(*strengths):
    """Return kinds of eighth notes that may carry the melody."""
    n_kinds = len(strengths)
    return Kinds(
        np.array(strengths, np.float32),
        np.full(n_kinds, -1, np.float32),
        np.ones(n_kinds, np.bool_),
        unknown_scale(n_kinds),
    )


@pytest.mark.parametrize(
    ("metre", "durations", "shares"),
    [
        ("4/4", [1, 1, 1, 1], [1 / 4] * 4),
        ("4/4", [1.5, 0.5, 2, 1, 1], [3 / 8, 1 / 8, 1 / 2, 1 / 4, 1 / 4]),
        ("2/4", [0.5, 0.25, 0.25, 1, 0.5], [1 / 4, 1 / 8, 1 / 8, 1 / 2, 1 / 4]),
        # The beats after the first, of strength 1/2, are a third of the measure apart.
        ("3/4", [1, 1, 1, 2, 1], [1 / 2, 1 / 2, 1 / 2, 1, 1 / 2]),
    ],
)
def test_what_notes_last_of_a_measure_is_found_from_their_beats(metre, durations, shares):
    assert shares_of_measure(line_in(metre, durations)).tolist() == shares


@given(
    durations=st.lists(st.sampled_from([0.5, 1.0]), min_size=2, max_size=12),
    factor=st.sampled_from([0.5, 2.0]),
)
def test_what_notes_last_of_a_measure_does_not_depend_on_how_they_are_written(durations, factor):
    line = line_in("4/4", durations)
    scaled = line._replace(durations=factor * line.durations)
    np.testing.assert_allclose(shares_of_measure(scaled), shares_of_measure(line))


def test_one_syncopation_hides_no_measure():
    # A quarter note from one weak eighth to the next lasts twice the share of either.
    assert shares_of_measure(line_in("4/4", [0.5, 1, 0.5, 1, 1])).tolist() == [
        1 / 8, 1 / 4, 1 / 8, 1 / 4, 1 / 4,
    ]  # fmt: skip


def test_nothing_is_known_of_measures_without_beats_or_from_one_note():
    assert shares_of_measure(line_in("none", [1, 1, 2])).tolist() == [0, 0, 0]
    one_note = LickNotes(*(field[:1] for field in line_in("4/4", [1, 1])))
    assert shares_of_measure(one_note).tolist() == [0]


def test_places_are_sorted_by_powers_of_two_of_beat_by_share_of_a_measure():
    strengths = np.array([1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 0])
    assert place_classes(strengths, np.array(1 / 4)).tolist() == [0, 1, 2, 3, 4, 4, 5]
    assert place_classes(strengths, np.array(0.0)).tolist() == [5] * 7
    # Within a dotted quarter lies a beat of 1/4; the next note may fall on one of 1/8.
    assert place_classes(np.array([1 / 4, 1 / 8]), np.array(3 / 8)).tolist() == [2, 1]


def test_most_notes_of_a_roll_within_a_note_of_the_melody_are_filler_and_few_at_its_end():
    filling, carrying = TABLES.filler_after
    assert carrying[WITHIN] > 0.5 > carrying[AT_THE_END]
    assert filling[WITHIN] > filling[AT_THE_END] > carrying[AT_THE_END]
    assert ((TABLES.filler_after > 0) & (TABLES.filler_after < 1)).all()


def test_a_note_on_a_beat_is_left_out_at_little_cost_while_the_melody_holds_a_longer_one():
    line = line_in("4/4", [1, 2, 1, 1])
    scores = pair_scores(line, kinds_in_a_roll(1 / 4), INSIDE_A_ROLL, TABLES)
    before, after_quarter, after_half, *_ = (scores.song_gaps[0, 0] / UNIT).tolist()
    within, at_the_end = np.log(TABLES.filler_after[1, [WITHIN, AT_THE_END]])
    assert before == pytest.approx(np.log(TABLES.filler[1, 2]), abs=1 / UNIT)
    assert after_quarter == pytest.approx(at_the_end, abs=1 / UNIT)
    assert after_half == pytest.approx(within, abs=1 / UNIT)
    assert (scores.song_gaps[0] == scores.song_gaps[1]).all()


def test_a_match_pays_for_being_no_filler_by_what_the_note_before_it_lasts():
    line = line_in("4/4", [1, 2, 1, 1])
    plain = INSIDE_A_ROLL._replace(song_in_rolls=False)
    with_rolls, without = (
        pair_scores(line, kinds_in_a_roll(1 / 4), form, TABLES) for form in (INSIDE_A_ROLL, plain)
    )
    chances = [TABLES.filler[1, 2], *TABLES.filler_after[1, [AT_THE_END, WITHIN, AT_THE_END]]]
    paid = NOT_FILLER_WEIGHT * np.log1p(-np.array(chances))
    for name in ("match", "split"):
        added = getattr(with_rolls, name)[0] - getattr(without, name)[0]
        np.testing.assert_allclose(added / UNIT, paid, atol=1 / UNIT)
    # Two notes as one come after the note before both; there is none before the second.
    added = (with_rolls.joined - without.joined)[0, 1:] / UNIT
    np.testing.assert_allclose(added, [paid[0], *paid[1:3]], atol=1 / UNIT)
