"""What pairs of notes score in each form, by hand from the tables."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from melodex.alignment.forms import FORMS, FORMS_OF_ROLLS, INSIDE_A_ROLL, Form
from melodex.alignment.learned_tables import BEAT_CLASSES, learned_tables
from melodex.alignment.pair_scores import (
    Kinds,
    LickNotes,
    kinds_of,
    lick_line,
    pair_scores,
    song_notes,
    with_prior_spread,
)
from melodex.features.scale_classes import IN_SCALE, OUTSIDE, UNKNOWN_SCALE, unknown_scale
from melodex.features.skeleton import THUMB_STRINGS
from melodex.kernels.pair_alignment import UNIT, Ends, unreached_in
from melodex.kernels.transposition_scores import scores_by_transposition
from tests.searched import arrays_of
from tests.strategies import melodies, melody_of

TABLES = learned_tables()
OFF_BEAT = Form("off the beat", -3.0, beats=False)
FORM = {form.name: form for form in (*FORMS, *FORMS_OF_ROLLS, OFF_BEAT)}
every_form = pytest.mark.parametrize("form", FORM.values(), ids=FORM)
STRENGTHS = [1 / 16, 1 / 8, 1 / 4, 1 / 2, 1]


def kinds(*notes, scale=None):
    """Build kinds from (strength, duration, carries melody)."""
    strengths, durations, carries = zip(*notes, strict=True)
    return Kinds(
        np.array(strengths, np.float32),
        np.log2(np.array(durations)).astype(np.float32),
        np.array(carries, np.bool_),
        unknown_scale(len(notes)) if scale is None else np.array(scale, np.int8),
    )


def line(*notes, pitches=None, scale=None):
    """Build a lick from (strength, duration, carries melody)."""
    strengths, durations, carries = zip(*notes, strict=True)
    return LickNotes(
        np.array(pitches or range(60, 60 + len(notes)), np.int16),
        np.array(strengths, np.float64),
        np.array(durations, np.float64),
        np.array(carries, np.bool_),
        unknown_scale(len(notes)) if scale is None else np.array(scale, np.int8),
    )


EVERY_NOTE = list(product(STRENGTHS, [0.25, 0.375, 0.5, 0.75, 1.0, 2.0], [False, True]))
# Every note once, and once more so that it repeats the one before.
EVERY_LINE = line(
    *(note for note in EVERY_NOTE for _ in range(2)),
    pitches=[48 + place // 2 for place in range(2 * len(EVERY_NOTE))],
)


def nats(units):
    return np.asarray(units) / UNIT


def in_units(nats):
    return round(UNIT * nats)


@every_form
def test_no_pair_scores_more_than_a_note_with_itself(form):
    scores = pair_scores(EVERY_LINE, kinds(*EVERY_NOTE), form, TABLES)
    best_rhythm = max(scores.match.max(), scores.split.max())
    assert scores.pitch.max() + best_rhythm <= UNIT * TABLES.of_same_note
    assert scores.pitch.max() + scores.joined.max() <= UNIT * TABLES.of_same_note
    assert scores.lick_gaps.max() <= 0
    assert scores.song_gaps.max() <= 0


def test_as_written_a_note_with_itself_scores_most_of_all():
    scores = pair_scores(line(*EVERY_NOTE), kinds(*EVERY_NOTE), FORM["as written"], TABLES)
    same = np.diag(scores.match)
    assert (same == same[0]).all()
    assert same[0] + scores.pitch.max() == UNIT * TABLES.of_same_note
    for a, one in enumerate(EVERY_NOTE):
        for b, other in enumerate(EVERY_NOTE):
            assert (scores.match[b, a] == same[0]) == (one[:2] == other[:2])


@given(a=st.sampled_from(EVERY_NOTE), b=st.sampled_from(EVERY_NOTE))
def test_as_written_both_sides_score_alike(a, b):
    there = pair_scores(line(a), kinds(b), FORM["as written"], TABLES)
    back = pair_scores(line(b), kinds(a), FORM["as written"], TABLES)
    assert there.match == back.match


# Strength and duration of the lick's note and of the song's, and the tables' entries for them.
@pytest.mark.parametrize(
    ("form", "own", "other", "expected"),
    [
        ("as written", (1, 1), (1, 1), TABLES.beat[4, 4] + TABLES.duration[0]),
        ("as written", (1, 1), (0.25, 2), TABLES.beat[4, 2] + TABLES.duration[2]),
        ("as written", (0.125, 3), (0.5, 0.5), TABLES.beat[1, 3] + TABLES.duration[4]),
        ("doubled", (0.25, 0.5), (0.5, 1), TABLES.beat[3, 3] + TABLES.duration[0]),
        ("doubled", (0.25, 0.5), (0.25, 0.5), TABLES.beat[3, 2] + TABLES.duration[2]),
        ("doubled", (1, 0.5), (1, 1), TABLES.beat[4, 4] + TABLES.duration[0]),
        ("halved", (0.5, 1), (0.25, 0.5), TABLES.beat[3, 3] + TABLES.duration[0]),
        ("halved", (0.25, 0.5), (0.25, 0.5), TABLES.beat[2, 3] + TABLES.duration[2]),
        ("halved", (1, 1), (1, 0.5), TABLES.beat[4, 4] + TABLES.duration[0]),
        ("off the beat", (1, 1), (0.125, 1.5), TABLES.duration[1]),
        ("free rhythm", (1, 1), (0.125, 4), 0.0),
    ],
)
def test_a_pair_scores_by_beat_and_duration_as_its_form_compares_them(form, own, other, expected):
    scores = pair_scores(line((*own, False)), kinds((*other, False)), FORM[form], TABLES)
    assert scores.match[0, 0] == in_units(expected)
    assert scores.split[0, 0] == in_units(expected + TABLES.split)


@pytest.mark.parametrize("carries", [False, True])
def test_inside_a_roll_beats_count_alone_and_a_note_must_be_no_filler(carries):
    scores = pair_scores(line((0.5, 2, True)), kinds((0.25, 0.5, carries)), INSIDE_A_ROLL, TABLES)
    filler = TABLES.filler[int(carries), 2]
    assert scores.match[0, 0] == in_units(TABLES.beat_alone[2, 3] + np.log(1 - filler) / 2)
    assert (scores.song_gaps[:, 0] == in_units(np.log(filler))).all()
    assert nats(scores.lick_gaps[:, 0]) == pytest.approx(
        [TABLES.gap_open[3], TABLES.gap_extend], abs=1 / UNIT
    )


@pytest.mark.parametrize("carries", [False, True])
def test_the_notes_of_a_rolled_lick_may_be_filler_and_the_songs_may_not(carries):
    form = FORM["melody of the roll"]
    scores = pair_scores(line((0.25, 0.5, carries)), kinds((0.5, 2, True)), form, TABLES)
    filler = TABLES.filler[int(carries), 2]
    assert scores.match[0, 0] == in_units(TABLES.beat_alone[2, 3] + np.log(1 - filler) / 2)
    assert scores.lick_gaps[:, 0].tolist() == [in_units(np.log(filler))] * 2
    assert nats(scores.song_gaps[:, 0, 0]) == pytest.approx(
        [TABLES.gap_open[3], TABLES.gap_extend], abs=1 / UNIT
    )


def test_between_two_rolls_filler_of_either_may_stay_outside():
    form = FORM["melody of both rolls"]
    scores = pair_scores(line((0.25, 0.5, True)), kinds((0.5, 0.5, False)), form, TABLES)
    own, other = TABLES.filler[1, 2], TABLES.filler[0, 3]
    expected = TABLES.beat_alone[2, 3] + (np.log(1 - own) + np.log(1 - other)) / 2
    assert scores.match[0, 0] == in_units(expected)
    assert scores.lick_gaps[0, 0] == in_units(np.log(own))
    assert (scores.song_gaps[0, 0] == in_units(np.log(other))).all()


@pytest.mark.parametrize(
    ("form", "own", "other"),
    [("as written", 0, 0), ("doubled", 1, 0), ("halved", 0, 1)],
)
def test_a_gap_scores_by_the_beat_it_begins_on(form, own, other):
    each = [(strength, 1, False) for strength in STRENGTHS]
    scores = pair_scores(line(*each), kinds(*each), FORM[form], TABLES)
    after_each = scores.song_gaps.transpose(2, 0, 1)  # note of the lick
    for gaps, raised in ((scores.lick_gaps, own), *((gaps, other) for gaps in after_each)):
        classes = np.minimum(np.arange(BEAT_CLASSES) + raised, BEAT_CLASSES - 1)
        assert gaps[0].tolist() == [in_units(TABLES.gap_open[place]) for place in classes]
        assert gaps[1].tolist() == [in_units(TABLES.gap_extend)] * BEAT_CLASSES


@pytest.mark.parametrize("form", ["off the beat", "free rhythm"])
def test_where_beats_are_not_compared_gaps_do_not_depend_on_them(form):
    each = [(strength, 1, False) for strength in STRENGTHS]
    scores = pair_scores(line(*each), kinds(*each), FORM[form], TABLES)
    for gaps in (scores.lick_gaps, *scores.song_gaps.transpose(2, 0, 1)):
        assert gaps[0].tolist() == [in_units(TABLES.gap_open_off_beat)] * BEAT_CLASSES


def test_only_a_note_that_repeats_the_one_before_is_joined_to_it():
    lick = line((1, 1, False), (0.5, 1, False), (0.25, 1, False), pitches=[60, 60, 62])
    scores = pair_scores(lick, kinds((1, 2, False)), FORM["as written"], TABLES)
    # The first one's beat, and both durations together.
    as_one = TABLES.beat[4, 4] + TABLES.duration[0] + TABLES.split
    never = unreached_in(np.int16)
    assert scores.joined[0].tolist() == [never, in_units(as_one), never]


def test_two_notes_of_a_rolled_lick_as_one_are_likely_filler_on_the_first_ones_beat():
    lick = line((0.5, 0.5, False), (0.25, 0.5, True), pitches=[60, 60])
    form = FORM["melody of the roll"]
    scores = pair_scores(lick, kinds((1, 1, False)), form, TABLES)
    expected = TABLES.beat_alone[4, 3] + TABLES.split + np.log(1 - TABLES.filler[0, 3]) / 2
    assert scores.joined[0, 1] == in_units(expected)


@pytest.mark.parametrize("carries", [False, True])
def test_inside_a_roll_two_notes_of_the_lick_match_one_that_must_be_no_filler(carries):
    lick = line((0.5, 0.5, False), (0.25, 0.5, False), pitches=[60, 60])
    scores = pair_scores(lick, kinds((1, 1, carries)), INSIDE_A_ROLL, TABLES)
    kept = np.log(1 - TABLES.filler[int(carries), 4]) / 2
    assert scores.joined[0, 1] == in_units(TABLES.beat_alone[4, 3] + TABLES.split + kept)


def test_pitches_score_by_distance_up_and_down_alike():
    scores = pair_scores(line((1, 1, False)), kinds((1, 1, False)), FORM["as written"], TABLES)
    middle = len(scores.pitch) // 2
    expected = [in_units(score) for score in TABLES.pitch]
    assert scores.pitch[middle:].tolist() == expected
    assert scores.pitch[: middle + 1].tolist() == expected[::-1]


@pytest.mark.parametrize(("notes", "number"), [(1, np.int16), (250, np.int16), (400, np.int32)])
def test_short_licks_are_scored_in_16_bits_and_long_ones_in_32(notes, number):
    lick = line(*[(1, 1, False)] * notes, pitches=[60] * notes)
    for form in (FORM["as written"], FORM["free rhythm"]):
        scores = pair_scores(lick, kinds((1, 1, False)), form, TABLES)
        assert {array.dtype.type for array in scores[1:]} == {number}
        assert scores.joined[0, 0] == unreached_in(number)


def test_a_lick_of_which_much_may_not_be_left_out_is_scored_in_32_bits():
    # In rolls a carrying note on the strongest beat costs 4.3 nats; 90 of them are too much.
    lick = line(*[(1, 1, True)] * 90)
    form = FORM["melody of the roll"]
    assert pair_scores(lick, kinds((1, 1, False)), form, TABLES).match.dtype == np.int32
    shorter = line(*[(1, 1, True)] * 60)
    assert pair_scores(shorter, kinds((1, 1, False)), form, TABLES).match.dtype == np.int16


few_pitches = melodies(max_notes=12, pitches=st.integers(60, 62))


@given(
    lick=few_pitches,
    song=few_pitches,
    form=st.sampled_from(list(FORM.values())),
    prior=st.floats(-6, 0),
)
@example(  # two notes for one
    lick=melody_of(60, 67, 67, 62),
    song=melody_of(60, 67, 62, durations=[1, 2, 1]),
    form=FORM["as written"],
    prior=-2.0,
)
def test_a_prior_that_each_note_pays_for_costs_at_most_itself(lick, song, form, prior):
    arrays = arrays_of(song)
    scores = pair_scores(lick_line(lick), kinds_of(arrays), form, TABLES)
    notes = song_notes(arrays, form)
    without, with_prior = (
        scores_by_transposition(notes, 0, each, Ends.SONG, -12, 12)
        for each in (scores, with_prior_spread(scores, prior))
    )
    paid = without - with_prior
    assert (paid <= -UNIT * prior).all()
    assert (paid > -UNIT * prior - len(lick)).all()  # rounded to a unit for each note


PINCH = melody_of(62, 59)
PINCH = replace(
    PINCH,
    strings=np.array([1, 2], np.int8),
    frets=np.array([0, 0], np.int8),
    chord_tones=replace(
        PINCH.chord_tones,
        notes=np.array([0], np.int32),
        pitches=np.array([55], np.int16),
        strings=np.array([THUMB_STRINGS[1]], np.int8),
        frets=np.array([0], np.int8),
    ),
)


def test_of_a_pinch_a_lick_has_the_thumbs_note():
    assert lick_line(PINCH).pitches.tolist() == [55, 59]


def test_of_a_pinch_a_song_has_the_thumbs_note_inside_rolls_alone():
    arrays = arrays_of(PINCH)
    assert song_notes(arrays, FORM["as written"]).pitches.tolist() == [62, 59]
    assert song_notes(arrays, INSIDE_A_ROLL).pitches.tolist() == [55, 59]


@given(song=melodies(max_notes=10))
def test_a_song_has_the_kinds_of_its_notes(song):
    arrays = arrays_of(song)
    notes, of_notes = song_notes(arrays, FORM["as written"]), kinds_of(arrays)
    np.testing.assert_allclose(of_notes.strengths[notes.kinds], song.beat_strengths)
    np.testing.assert_allclose(
        of_notes.log_durations[notes.kinds], np.log2(song.durations), atol=1 / 48
    )
    np.testing.assert_array_equal(
        of_notes.carries_melody[notes.kinds], lick_line(song).carries_melody
    )


@pytest.mark.parametrize("form", FORM)
def test_an_unknown_beat_adds_nothing_to_the_score_of_a_pair(form):
    both = [(strength, 1, False) for strength in (0, *STRENGTHS)]
    unknown = pair_scores(line(*both), kinds((0, 1, False)), FORM[form], TABLES).match[0]
    durations_alone = FORM[form]._replace(beats=False)
    compared = pair_scores(line(*both), kinds((0, 1, False)), durations_alone, TABLES).match[0]
    assert unknown.tolist() == compared.tolist()


def test_a_gap_on_an_unknown_beat_opens_as_where_beats_are_not_compared():
    scores = pair_scores(line((0, 1, False)), kinds((0, 1, False)), FORM["as written"], TABLES)
    for gaps in (scores.lick_gaps, *scores.song_gaps.transpose(2, 0, 1)):
        assert gaps[0].tolist() == [in_units(TABLES.gap_open_off_beat)]


EVERY_CLASS = [IN_SCALE, OUTSIDE, UNKNOWN_SCALE]


@every_form
@pytest.mark.parametrize("own", EVERY_CLASS)
@pytest.mark.parametrize("other", EVERY_CLASS)
def test_scales_add_the_same_in_every_form_to_one_note_and_to_two_as_one(form, own, other):
    note = (1, 1, True)
    twice, scale = line(note, note, pitches=[60, 60]), np.array([own, own], np.int8)
    without = pair_scores(twice, kinds(note), form, TABLES)
    scores = pair_scores(twice._replace(scale=scale), kinds(note, scale=[other]), form, TABLES)
    added = 0 if UNKNOWN_SCALE in {own, other} else TABLES.scale[own, other]
    for name in ("match", "split", "joined"):
        of_pair = getattr(scores, name)[0, 1] - getattr(without, name)[0, 1]
        assert of_pair == in_units(added)


def test_no_class_of_the_scale_scores_with_another_more_than_with_itself():
    classes = np.array(EVERY_CLASS, np.int8)
    scores = TABLES.of_scales(classes, classes[:, np.newaxis])
    assert (scores <= np.diag(scores)).all()
    np.testing.assert_array_equal(scores, scores.T)


def test_a_long_lick_outside_its_scale_is_scored_in_32_bits():
    lick = line(*[(1, 1, False)] * 250, pitches=[60] * 250, scale=[OUTSIDE] * 250)
    scores = pair_scores(lick, kinds((1, 1, False)), FORM["as written"], TABLES)
    assert scores.match.dtype == np.int32
