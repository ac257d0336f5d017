"""Laws of the score of a lick in songs."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.alignment.forms import FORMS, FORMS_OF_ROLLS
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.passage import NO_SCORE, passages_of, score_of_itself, score_songs
from melodex.model.key import Key
from melodex.model.melody import Melody
from tests.searched import arrays_of, searched
from tests.strategies import in_tempo, keys, melodies, melody_of, transposed

TABLES = learned_tables()
ROUNDING = 1 / 32  # a unit of the kernels
PRIORS = {form.name: form.prior for form in (*FORMS, *FORMS_OF_ROLLS)}
ROLL_BEATS = [1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125]
TUNE = melody_of(
    67, 71, 74, 72, 71, 67,
    durations=[1, 0.5, 0.5, 1, 1, 2],
    beat_strengths=[1, 0.25, 0.125, 0.5, 0.25, 1],
)  # fmt: skip


def share(lick, song):
    return float(searched(lick, song)[0].shares[0])


def form_of(found, place=0):
    return found.searched[found.forms[place]].name


def strengths_of(melody: Melody, *strengths: float) -> Melody:
    return replace(melody, beat_strengths=np.resize(strengths, len(melody)))


beats = st.lists(st.sampled_from([1, 0.5, 0.25, 0.125, 0.0625, 0]), min_size=1, max_size=7)


@given(lick=melodies(max_notes=16), strengths=beats, up=st.integers(-12, 12))
def test_a_lick_with_itself_scores_all_of_its_notes_as_written(lick, strengths, up):
    lick = strengths_of(lick, *strengths)
    found, arrays = searched(lick, transposed(lick, up))
    known = sum(strength > 0 for strength in lick.beat_strengths)
    of_beats = np.float32(known * TABLES.beat[0, 0])
    assert found.scores[0] == len(lick) * (TABLES.pitch[0] + TABLES.duration[0]) + of_beats
    assert found.shares[0] == 1
    assert found.transpositions[0] == up
    assert form_of(found) == "as written"
    (passage,) = passages_of(found, 0, arrays)
    assert passage.form == "as written"
    assert passage.transposition == up
    assert passage.pairs.tolist() == [[note, note] for note in range(len(lick))]


@given(
    lick=melodies(max_notes=10),
    song=melodies(max_notes=25),
    strengths=beats,
    up=st.integers(-12, 12),
)
def test_transposing_either_side_changes_no_score(lick, song, strengths, up):
    lick, song = strengths_of(lick, *strengths), strengths_of(song, *strengths)
    found, higher_lick = searched(lick, song)[0], searched(transposed(lick, up), song)[0]
    higher_song = searched(lick, transposed(song, up))[0]
    assert found.scores[0] == higher_lick.scores[0] == higher_song.scores[0]
    assert found.transpositions[0] == higher_lick.transpositions[0] + up
    assert found.transpositions[0] == higher_song.transpositions[0] - up


@given(lick=melodies(max_notes=8), song=melodies(max_notes=25), strengths=beats)
def test_no_song_scores_more_than_the_lick_with_itself(lick, song, strengths):
    found = searched(strengths_of(lick, *strengths), song, strengths_of(song, *strengths))[0]
    assert (found.scores <= np.float32(score_of_itself(lick))).all()


@pytest.mark.parametrize(("factor", "form"), [(2.0, "doubled"), (0.5, "halved")])
@given(lick=melodies(min_notes=4, max_notes=12), strengths=st.sampled_from([(0.5,), (0.5, 0.25)]))
def test_other_note_values_cost_exactly_the_prior_of_their_form(lick, strengths, factor, form):
    # Twice as far apart, notes stand one level higher in the measure: common practice, no source.
    song = strengths_of(in_tempo(lick, factor), *(factor * strength for strength in strengths))
    lick = strengths_of(lick, *strengths)
    found = searched(lick, song)[0]
    assert form_of(found) == form
    expected = score_of_itself(lick) + PRIORS[form]
    assert found.scores[0] == pytest.approx(expected, abs=1e-4)


def test_a_lick_in_another_rhythm_counts_its_pitches_alone_and_the_prior():
    other = melody_of(*TUNE.pitches, durations=[0.125, 4, 0.125, 8, 0.125, 0.25])
    song = strengths_of(other, 0.125, 1, 0.5, 0.0625, 1, 0.125)
    found = searched(TUNE, song)[0]
    assert form_of(found) == "free rhythm"
    expected = len(TUNE) * TABLES.pitch[0] + PRIORS["free rhythm"]
    assert found.scores[0] == pytest.approx(expected, abs=len(TUNE) * ROUNDING)


def test_a_note_split_in_two_costs_the_split_in_either_direction():
    one = melody_of(67, 71, 74, 67, durations=[1, 2, 1, 1])
    two = melody_of(67, 71, 71, 74, 67, durations=[1, 1, 1, 1, 1])
    expected = 4 * TABLES.of_same_note + TABLES.split
    for lick, song in ((one, two), (two, one)):
        found = searched(lick, song)[0]
        assert form_of(found) == "as written"
        assert found.scores[0] == pytest.approx(expected, abs=ROUNDING)


@pytest.mark.parametrize("note", range(6))
@pytest.mark.parametrize("change", ["pitch", "duration", "beat", "dropped", "added"])
def test_a_share_of_1_is_that_of_the_same_notes_in_the_same_rhythm_alone(note, change):
    pitches, durations = TUNE.pitches.tolist(), TUNE.durations.tolist()
    strengths = TUNE.beat_strengths.tolist()
    if change == "pitch":
        pitches[note] += 1
    elif change == "duration":
        durations[note] *= 1.5
    elif change == "beat":
        strengths[note] = 0.5 if strengths[note] == 0.25 else 0.25
    elif change == "dropped":
        pitches, durations, strengths = (
            row[:note] + row[note + 1 :] for row in (pitches, durations, strengths)
        )
    else:
        pitches.insert(note, 69)
        durations.insert(note, 0.5)
        strengths.insert(note, 0.125)
    song = melody_of(*pitches, durations=durations, beat_strengths=strengths)
    outside = change == "added" and note == 0
    assert share(TUNE, song) == 1 if outside else share(TUNE, song) < 0.98


def test_what_stands_before_and_after_in_the_song_costs_nothing():
    song = melody_of(
        *(60, 62), *TUNE.pitches, *(60, 57, 55),
        durations=[1, 1, *TUNE.durations, 1, 1, 1],
        beat_strengths=[1, 0.25, *TUNE.beat_strengths, 1, 0.25, 0.5],
    )  # fmt: skip
    found, arrays = searched(TUNE, song)
    assert found.shares[0] == 1
    (passage,) = passages_of(found, 0, arrays)
    assert passage.pairs.tolist() == [[note, note + 2] for note in range(len(TUNE))]


def test_a_dropped_weak_note_costs_less_than_a_dropped_strong_one():
    lick = melody_of(67, 69, 71, 74, beat_strengths=[1, 0.125, 1, 0.125])
    without_weak = melody_of(67, 71, 74, beat_strengths=[1, 1, 0.125])
    without_strong = melody_of(67, 69, 74, beat_strengths=[1, 0.125, 0.125])
    assert share(lick, without_weak) > share(lick, without_strong)


def test_a_further_note_left_out_in_a_row_costs_less_than_one_elsewhere():
    lick = melody_of(67, 69, 71, 74, 79, 71, 67, 62)
    in_a_row = melody_of(67, 69, 71, 71, 67, 62)
    elsewhere = melody_of(67, 71, 74, 79, 67, 62)
    assert share(lick, in_a_row) > share(lick, elsewhere)


ROLLED = melody_of(
    55, 59, 62, 67, 59, 62, 67, 62, 57, 59, 62, 67, 55, 59, 62, 67,
    durations=[0.5] * 16,
    beat_strengths=ROLL_BEATS * 2,
)  # fmt: skip
IN_TAB = replace(ROLLED, strings=np.array([3, 2, 1, 5, 2, 1, 5, 1] * 2, np.int8))
MELODY_OF_ROLL = melody_of(55, 59, 57, 55, durations=[2, 2, 2, 2], beat_strengths=[1, 0.5, 1, 0.5])


@pytest.mark.parametrize("song", [ROLLED, IN_TAB], ids=["by ear", "in tab"])
def test_the_melody_inside_a_roll_is_found_at_its_notes(song):
    found, arrays = searched(MELODY_OF_ROLL, song)
    assert form_of(found) == "inside a roll"
    (passage, *_) = passages_of(found, 0, arrays)
    assert passage.form == "inside a roll"
    assert passage.pairs[:, 1].tolist() == [0, 4, 8, 12]
    assert 0.5 < found.shares[0] < 1


def test_the_melody_inside_a_roll_stands_on_the_thumbs_note_of_a_pinch():
    pinched = replace(
        IN_TAB,
        pitches=np.array([62, *IN_TAB.pitches[1:]], np.int16),
        strings=np.array([1, *IN_TAB.strings[1:]], np.int8),
        chord_tones=replace(
            IN_TAB.chord_tones,
            notes=np.array([0], np.int32),
            pitches=np.array([55], np.int16),
            strings=np.array([3], np.int8),
            frets=np.array([0], np.int8),
        ),
    )
    found, arrays = searched(MELODY_OF_ROLL, pinched)
    plain, _ = searched(MELODY_OF_ROLL, IN_TAB)
    assert found.scores[0] == plain.scores[0]
    assert passages_of(found, 0, arrays)[0].pairs[0].tolist() == [0, 0]


# Two forward rolls whose beats play G B A B A G; the plain tune plays them in quarters.
ROLLED_LICK = melody_of(
    *(55, 62, 59, 67, 57, 62, 59, 67),
    *(57, 62, 55, 67, 59, 62, 55, 67),
    durations=[0.5] * 16,
    beat_strengths=ROLL_BEATS * 2,
)
PLAIN_TUNE = melody_of(
    *(72, 55, 59, 57, 59, 57, 55, 59, 55),
    durations=[2, *[1] * 8],
    beat_strengths=[1, *[1, 0.25, 0.5, 0.25] * 2],
)


def test_a_rolled_lick_is_found_in_the_plain_tune_that_it_carries():
    broken_chords = melody_of(*[62, 59, 67, 62, 59, 67, 64, 60] * 3, durations=[0.5] * 24)
    found, arrays = searched(ROLLED_LICK, broken_chords, PLAIN_TUNE)
    assert found.scores[1] > found.scores[0]
    (passage,) = passages_of(found, 1, arrays)
    assert passage.form == "melody of the roll"
    assert passage.pairs.tolist() == [
        [note, place] for place, note in enumerate(range(0, 16, 2), 1)
    ]


def test_two_arrangements_of_a_melody_in_rolls_match_by_their_melodies():
    # The same notes on the beats, other filler.
    pitches = ROLLED_LICK.pitches.copy()
    pitches[1::2] = [59, 62, 67, 62, 67, 59, 67, 62]
    other = replace(ROLLED_LICK, pitches=pitches)
    found, arrays = searched(ROLLED_LICK, other)
    assert form_of(found) == "melody of both rolls"
    (passage, *_) = passages_of(found, 0, arrays)
    assert set(range(0, 16, 2)) <= set(passage.pairs[:, 0].tolist())
    assert all(one == another for one, another in passage.pairs if one % 2 == 0)


def test_of_forms_that_score_alike_the_first_counts():
    # Few note values and beats, so that many songs score alike in two forms.
    rng = np.random.default_rng(3)
    book = [
        melody_of(
            *rng.integers(60, 64, 3).tolist(),
            durations=rng.choice([0.5, 1, 2, 3], 3).tolist(),
            beat_strengths=rng.choice([1, 0.5, 0.25, 0.125], 3).tolist(),
        )
        for _ in range(1000)
    ]
    lick, arrays, every = book[0], arrays_of(*book), np.arange(len(book))
    of_each = [score_songs(lick, arrays, every, forms=[form]).ranking for form in FORMS]
    is_best = np.array(of_each) == np.max(of_each, axis=0)
    assert (is_best.sum(axis=0) > 1).any()
    found = score_songs(lick, arrays, every, forms=FORMS)
    assert found.forms.tolist() == is_best.argmax(axis=0).tolist()


@given(lick=melodies(max_notes=8), song=melodies(max_notes=25))
def test_other_songs_in_the_catalogue_change_no_score(lick, song):
    alone = searched(lick, song)[0]
    beside = searched(lick, melody_of(60, 62), song, lick)[0]
    assert alone.scores[0] == beside.scores[1]
    assert alone.transpositions[0] == beside.transpositions[1]
    assert alone.forms[0] == beside.forms[1]


@given(lick=melodies(max_notes=6), book=st.lists(melodies(max_notes=9), min_size=1, max_size=6))
@settings(max_examples=50)
def test_the_selected_songs_are_scored_in_the_order_selected(lick, book):
    every, arrays = searched(lick, *book)
    backwards = np.arange(len(book))[::-1]
    found = score_songs(lick, arrays, backwards)
    assert found.songs.tolist() == backwards.tolist()
    for name in ("scores", "ranking", "forms", "transpositions"):
        assert getattr(found, name).tolist() == getattr(every, name)[::-1].tolist()


def test_no_songs_have_no_scores():
    assert score_songs(TUNE, arrays_of(TUNE), np.array([], np.int64)).scores.shape == (0,)


def test_a_song_without_notes_scores_below_every_other():
    found, _ = searched(TUNE, melody_of(), TUNE)
    assert found.ranking[0] == NO_SCORE
    assert found.shares[1] == 1


C_MAJOR, G_MAJOR = Key("C", "major"), Key("G", "major")
FLAT_NAMES = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]


def test_tonics_that_meet_count_for_the_ranking_and_not_for_the_score():
    arrays = arrays_of(TUNE, TUNE, TUNE, keys=[G_MAJOR, C_MAJOR, None])
    found = score_songs(TUNE, arrays, np.arange(3), G_MAJOR)
    meet, miss, unknown = (found.ranking - found.scores).tolist()
    for place in range(3):
        (passage,) = passages_of(found, place, arrays)
        assert passage.score == pytest.approx(score_of_itself(TUNE))
    assert meet == pytest.approx(np.log(1 + 11 * TABLES.tonics_meet), abs=ROUNDING)
    assert miss == pytest.approx(np.log(1 - TABLES.tonics_meet), abs=ROUNDING)
    assert unknown == 0


@pytest.mark.parametrize("up", [-7, 5, 12])
def test_tonics_meet_in_a_transposed_song_if_its_key_is_transposed(up):
    key = {-7: C_MAJOR, 5: C_MAJOR, 12: G_MAJOR}[up]
    found = score_songs(TUNE, arrays_of(transposed(TUNE, up), keys=[key]), np.arange(1), G_MAJOR)
    bonus = float(found.ranking[0] - found.scores[0])
    assert bonus == pytest.approx(np.log(1 + 11 * TABLES.tonics_meet), abs=ROUNDING)


def test_without_a_stated_key_the_licks_notes_say_which_tonic_to_expect():
    arrays = arrays_of(TUNE, TUNE, keys=[G_MAJOR, Key("F#", "major")])
    found = score_songs(TUNE, arrays, np.arange(2))
    meet, miss = found.ranking - found.scores
    assert miss < 0 < meet


NEAR_TUNE = melody_of(
    67, 70, 71, 74, 70, 71, 67,
    durations=[1, 0.5, 0.5, 1, 0.5, 0.5, 2],
    beat_strengths=[1, 0.25, 0.125, 0.5, 0.25, 0.125, 1],
)  # fmt: skip
WITHOUT_SHARPS = replace(NEAR_TUNE, pitches=NEAR_TUNE.pitches - (NEAR_TUNE.pitches == 70))
IN_FREE_RHYTHM = strengths_of(
    replace(NEAR_TUNE, onsets=np.arange(7.0), durations=np.tile([0.25, 1], 4)[:7]), 0.5, 1
)


def test_a_lick_with_notes_outside_its_key_is_likelier_where_they_are_than_where_they_are_not():
    songs = IN_FREE_RHYTHM, WITHOUT_SHARPS
    found, arrays = searched(NEAR_TUNE, *songs)
    assert found.ranking[0] < found.ranking[1]
    arrays = arrays_of(*songs, keys=[G_MAJOR] * 2)
    found = score_songs(NEAR_TUNE, arrays, np.arange(2), G_MAJOR)
    assert found.ranking[0] > found.ranking[1]


@pytest.mark.parametrize("key", [G_MAJOR, Key("B", "minor"), C_MAJOR, None])
@pytest.mark.parametrize("of_lick", [G_MAJOR, C_MAJOR, None])
def test_the_same_notes_in_any_key_are_a_passage_that_scores_all(key, of_lick):
    arrays = arrays_of(NEAR_TUNE, keys=[key])
    found = score_songs(NEAR_TUNE, arrays, np.arange(1), of_lick)
    (passage,) = passages_of(found, 0, arrays)
    assert passage.score == pytest.approx(score_of_itself(NEAR_TUNE))


@given(lick=melodies(max_notes=10), song=melodies(max_notes=20), of_lick=keys(), of_song=keys())
def test_no_passage_scores_more_than_the_lick_whatever_the_keys(lick, song, of_lick, of_song):
    arrays = arrays_of(song, keys=[of_song])
    found = score_songs(lick, arrays, np.arange(1), of_lick)
    assert found.scores[0] <= np.float32(score_of_itself(lick, of_lick))
    for passage in passages_of(found, 0, arrays):
        assert passage.score <= score_of_itself(lick) + 1e-6


@given(lick=melodies(max_notes=8), song=melodies(max_notes=16), key=keys(), up=st.integers(-6, 6))
def test_transposing_a_song_and_its_key_changes_no_score(lick, song, key, up):
    moved = Key(FLAT_NAMES[((key.tonic_pitch_class or 0) + up) % 12], key.mode)
    arrays = arrays_of(song, transposed(song, up), keys=[key, moved])
    found = score_songs(lick, arrays, np.arange(2), key)
    assert found.scores[0] == found.scores[1]


FILLER = melody_of(48, 85, 50, 90, durations=[3, 3, 3, 3])


def joined(*parts):
    return melody_of(
        *(pitch for part in parts for pitch in part.pitches.tolist()),
        durations=[value for part in parts for value in part.durations.tolist()],
        beat_strengths=[value for part in parts for value in part.beat_strengths.tolist()],
    )


def test_every_place_that_matches_as_well_is_a_passage_in_the_order_played():
    song = joined(FILLER, TUNE, FILLER, transposed(TUNE, 5), FILLER, TUNE)
    found, arrays = searched(TUNE, song)
    passages = passages_of(found, 0, arrays)
    assert [passage.transposition for passage in passages] == [0, 5, 0]
    assert [int(passage.pairs[0, 1]) for passage in passages] == [4, 14, 24]
    assert all(len(passage.pairs) == len(TUNE) for passage in passages)


def test_a_place_that_matches_less_well_is_a_passage_where_the_least_share_allows_it():
    varied = replace(TUNE, pitches=TUNE.pitches + np.array([0, 0, 0, 0, 2, 0], np.int16))
    found, arrays = searched(TUNE, joined(TUNE, FILLER, varied))
    expected = share(TUNE, varied)
    assert 0.6 < expected < 0.9
    starts = {
        least: [int(passage.pairs[0, 1]) for passage in passages_of(found, 0, arrays, least=least)]
        for least in (None, expected - 0.01, expected + 0.01)
    }
    assert starts == {None: [0], expected - 0.01: [0, 10], expected + 0.01: [0]}


def test_the_best_passage_is_found_below_its_songs_best_share_too():
    varied = replace(TUNE, pitches=TUNE.pitches + np.array([0, 0, 0, 0, 2, 0], np.int16))
    found, arrays = searched(TUNE, varied)
    (passage,) = passages_of(found, 0, arrays)
    assert passage.pairs.tolist() == [[note, note] for note in range(len(TUNE))]


@given(lick=melodies(min_notes=2, max_notes=6), song=melodies(min_notes=2, max_notes=20))
@settings(max_examples=50)
def test_passages_do_not_overlap_and_lie_in_the_song(lick, song):
    found, arrays = searched(lick, song)
    passages = passages_of(found, 0, arrays)
    for one, other in pairwise(passages):
        assert one.pairs[-1, 1] < other.pairs[0, 1]
    for passage in passages:
        assert passage.form == form_of(found)
        assert (passage.pairs >= 0).all()
        assert (passage.pairs < [len(lick), len(song)]).all()


@given(lick=melodies(min_notes=2, max_notes=12), strengths=beats)
def test_a_lick_without_a_metre_is_the_same_wherever_a_song_has_it_in_the_measure(lick, strengths):
    without_metre = strengths_of(lick, 0)
    found, _ = searched(without_metre, strengths_of(lick, *strengths))
    assert found.shares[0] == 1
    assert form_of(found) == "as written"
