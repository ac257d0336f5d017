"""Passages known to someone who has learned another melody."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.parsing.formats import read_file
from melodex.phrases.passages import passages_between, passages_both_ways
from tests.songbook import SONGBOOK, TERMS, songs_of_book
from tests.strategies import melodies, melody_of, transposed

NOTES = np.random.default_rng(3).integers(58, 72, 96).tolist()
STRENGTHS = [1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125]
lines = melodies(min_notes=8, max_notes=24, pitches=st.integers(60, 66))


def eighths(pitches):
    """Return pitches as eighths in 4/4."""
    return melody_of(
        *pitches,
        durations=[0.5] * len(pitches),
        beat_strengths=(STRENGTHS * (len(pitches) // 8 + 1))[: len(pitches)],
    )


TUNE = eighths(NOTES)


def known_notes(one, other):
    known = np.zeros(len(other), bool)
    for _, notes in passages_between(one, other):
        known[notes.start : notes.stop] = True
    return known


def test_a_measure_of_eighths_is_a_passage_and_three_quarters_of_it_are_none():
    others = [50, 80, 51, 81, 50, 82, 52, 83]
    for length, found in ((8, True), (6, False)):
        other = eighths([*others, *NOTES[:length], *others[::-1]])
        assert known_notes(TUNE, other).any() == found


@given(shift=st.integers(-12, 12))
def test_a_copy_in_any_key_is_one_passage(shift):
    whole = range(len(NOTES))
    assert next(passages_between(TUNE, transposed(TUNE, shift))) == (whole, whole)


def test_changed_measures_are_cut_out_of_a_version():
    changed = [*NOTES]
    changed[32:40], changed[64:72] = [90, 50, 91, 51] * 2, [40, 84, 41, 85] * 2
    known = known_notes(TUNE, eighths(changed))
    assert set(np.flatnonzero(~known)) == {*range(32, 40), *range(64, 72)}


def test_one_changed_note_leaves_a_passage_whole():
    changed = [*NOTES]
    changed[41] += 2
    assert known_notes(TUNE, eighths(changed)).all()


def test_the_melody_inside_a_roll_is_a_passage():
    plain = melody_of(*NOTES[:24], durations=[2.0] * 24, beat_strengths=[1, 0.5] * 12)
    rolled = eighths([pitch for note in NOTES[:24] for pitch in (note, 62, 67, 62)])
    rolled = replace(rolled, strings=np.array([3, 1, 5, 1] * 24, np.int8))
    assert known_notes(plain, rolled).mean() > 0.9


@pytest.mark.parametrize("other", ["Market Day at Wendmere", "Tin Roof Rain"])
def test_a_roll_teaches_no_more_of_another_tune_than_its_melody_does(other):
    plain = {title: song for book in TERMS for title, song in songs_of_book(book).items()}
    (rolled,) = read_file(SONGBOOK / "lamplighters_ladder_rolled.musicxml").songs
    by_roll, by_tune = (
        known_notes(song.melody, plain[other].melody).mean()
        for song in (rolled, plain["The Lamplighter's Ladder"])
    )
    assert by_roll <= by_tune + 0.05


def test_a_song_that_repeats_itself_has_its_later_part_like_the_earlier_one():
    twice = eighths([*NOTES[:32], *NOTES[:32]])
    assert (range(32), range(32, 64)) in list(passages_between(twice, twice))


@given(one=lines, other=lines)
def test_both_ways_are_what_each_way_is_by_itself(one, other):
    both = passages_both_ways(one, other)
    assert both.of_other == list(passages_between(one, other))
    assert both.of_one == list(passages_between(other, one))


@given(one=lines, other=lines)
def test_passages_lie_within_both_melodies_in_order(one, other):
    for here, there in passages_between(one, other):
        assert 0 <= here.start < here.stop <= len(one)
        assert 0 <= there.start < there.stop <= len(other)


@given(melody=melodies(max_notes=24), shift=st.integers(-6, 6))
def test_whoever_knows_a_melody_knows_it_in_any_other_key(melody, shift):
    assert known_notes(melody, transposed(melody, shift)).all()
