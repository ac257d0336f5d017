"""How hard songs are, and the levels suggested from that."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from melodex.features.playing.difficulty import difficulty_of, grades_of, level_of
from melodex.features.playing.measured_demands import demands_of
from melodex.features.playing.suggested_levels import LevelScale
from melodex.features.written_tab import written_tab
from melodex.model.demands import Demands, HandDemands
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import Song
from tests.songbook import levelled_songs
from tests.strategies import melodies, melody_of

SHARES = st.floats(0, 1)
DEMANDS = st.builds(
    Demands,
    half_steps=st.integers(0, 40),
    leaps=SHARES,
    widest_leap=st.integers(0, 40),
    uneven=SHARES,
    notes_per_second=st.floats(0.1, 12),
    tempo=st.none() | st.floats(30, 300),
    hands=st.none()
    | st.builds(
        HandDemands,
        moves=st.floats(0, 10),
        highest_fret=st.integers(0, 22),
        patterns=st.integers(0, 20),
        measures=st.integers(20, 30),
    ),
)


def demands_in(song: Song) -> Demands:
    """Return the demands of a song with notes."""
    demands = demands_of(song.melody, song.metre, song.tempo, written_tab(song))
    assert demands is not None
    return demands


def book() -> dict[str, Demands]:
    """Return the demands of the songbook's songs, by title."""
    return {song.title: demands_in(song) for song, _ in levelled_songs()}


def test_a_scale_in_quarter_notes_is_counted_by_hand():
    # Eight notes in eight quarter notes at 120 a minute, four seconds; steps only; one pace.
    melody = melody_of(60, 62, 64, 65, 67, 69, 71, 72)
    demands = demands_of(melody, Metre(4, 4), 120.0)
    assert demands == Demands(12, 0.0, 2, 0.0, 2.0, 120.0)


def test_leaps_are_steps_wider_than_a_third():
    # One of four steps is a fourth, one an octave; a major third does not count.
    demands = demands_of(melody_of(60, 64, 69, 57, 58), FREE_METRE, 60.0)
    assert demands is not None
    assert (demands.leaps, demands.widest_leap) == (0.5, 12)


def test_a_dance_tune_is_as_fast_in_sixteenths_as_in_eighths_where_no_tempo_is_given():
    eighths = melody_of(*[60, 62] * 8)
    halved = replace(eighths, onsets=eighths.onsets / 2, durations=eighths.durations / 2)
    in_four, in_two = (
        demands_of(melody, metre, None)
        for melody, metre in ((eighths, Metre(4, 4)), (halved, Metre(2, 4)))
    )
    assert in_four == in_two


@given(melody=melodies(), semitones=st.integers(-12, 12), tempo=st.floats(30, 300))
def test_another_key_makes_a_melody_no_harder(melody, semitones, tempo):
    moved = replace(melody, pitches=np.clip(melody.pitches + semitones, 0, 127).astype(np.int16))
    if np.array_equal(moved.pitches, melody.pitches + semitones):
        there, here = demands_of(moved, FREE_METRE, tempo), demands_of(melody, FREE_METRE, tempo)
        assert there == here


@given(demands=DEMANDS, factor=st.floats(1, 4))
def test_a_song_played_faster_is_never_easier(demands, factor):
    faster = replace(demands, notes_per_second=demands.notes_per_second * factor)
    assert difficulty_of(faster) >= difficulty_of(demands)


@given(demands=DEMANDS)
def test_levels_run_from_1_to_5_and_unknown_hands_have_no_grade(demands):
    assert 1 <= level_of(difficulty_of(demands)) <= 5
    assert len(grades_of(demands)) == (4 if demands.hands is None else 7)


def test_a_song_without_notes_demands_nothing():
    assert demands_of(melody_of(), FREE_METRE, None) is None


def test_warm_ups_are_easier_than_breakdowns():
    hard = {title: difficulty_of(demands) for title, demands in book().items()}
    easy = ("Evening Scales", "The Kettle on One Note", "Polite Endings", "Mirror on the Landing")
    for tune in ("Eel Trap Breakdown", "Weir in Spate", "Seven Swallows"):
        assert max(hard[each] for each in easy) < hard[tune]


def test_suggested_levels_agree_with_a_teacher_who_had_no_part_in_them():
    # Kendall's tau is .54 on the songbook's 57 songs; the grades were counted on other tunes.
    hard = [difficulty_of(demands_in(song)) for song, _ in levelled_songs()]
    agreement = kendalltau(hard, [level for _, level in levelled_songs()])
    assert agreement.statistic > 0.4


@given(songs=st.lists(DEMANDS, min_size=10, max_size=30))
def test_songs_on_a_teachers_scale_get_levels_of_that_scale_in_order(songs):
    in_order = sorted(songs, key=difficulty_of)
    scale = LevelScale((song, 10.0 * place) for place, song in enumerate(in_order))
    levels = [scale.level(song) for song in in_order]
    assert levels == sorted(levels)
    assert set(levels) <= {10.0 * place for place in range(len(in_order))}


def test_with_few_levels_given_songs_keep_to_levels_1_to_5():
    song = book()["Weir in Spate"]
    scale = LevelScale([(song, 60.0)] * 9)
    assert scale.level(song) == level_of(difficulty_of(song))
    assert LevelScale([(song, 60.0)] * 10).level(song) == 60.0


@pytest.mark.parametrize(
    ("title", "reason"),
    [
        ("Evening Scales", "if a measure takes two seconds, since no tempo is given"),
        ("Weir in Spate", "notes a second at 144 quarter notes a minute"),
        ("The Jam Shelf", "moves a measure, with hammer-ons and pull-offs"),
        ("The Jam Shelf", "position 1 of 5: up to fret 4"),
        ("The Kettle on One Note", "leaps 1 of 5: no step wider than a third"),
    ],
)
def test_a_suggested_level_has_its_reasons_in_words(title, reason):
    assert any(reason in each for each in LevelScale(()).reasons(book()[title]))
