"""Keys estimated from pitch classes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import note, stream
from music21.analysis import discrete

from melodex.errors import MelodyError
from melodex.features.key_finding import (
    KOSTKA_PAYNE,
    find_key,
    key_correlations,
    pitch_class_weights,
)
from tests.strategies import LONGEST_TRANSPOSITION, melodies, melody_of, transposed

WEIGHTS = st.lists(st.integers(0, 20), min_size=12, max_size=12).map(
    lambda weights: np.array(weights, dtype=np.float64)
)


def test_the_profiles_are_those_that_music21_carries():
    witness = discrete.TemperleyKostkaPayne()
    assert KOSTKA_PAYNE.major.tolist() == witness.getWeights("major")
    assert KOSTKA_PAYNE.minor.tolist() == witness.getWeights("minor")


@given(weights=WEIGHTS.filter(lambda weights: np.ptp(weights) > 0))
def test_correlations_agree_with_numpy(weights):
    expected = [
        np.corrcoef(weights, np.roll(profile, tonic))[0, 1]
        for profile in KOSTKA_PAYNE
        for tonic in range(12)
    ]
    np.testing.assert_allclose(key_correlations(weights), expected, atol=1e-12)


@given(weights=WEIGHTS, semitones=st.integers(0, 11))
def test_correlations_move_with_the_notes(weights, semitones):
    moved = key_correlations(np.roll(weights, semitones)).reshape(2, 12)
    still = key_correlations(weights).reshape(2, 12)
    np.testing.assert_allclose(moved, np.roll(still, semitones, axis=1), atol=1e-12)


@given(weights=WEIGHTS, factor=st.floats(0.01, 100))
def test_correlations_do_not_depend_on_the_unit_of_duration(weights, factor):
    np.testing.assert_allclose(
        key_correlations(weights * factor), key_correlations(weights), atol=1e-9
    )


@settings(max_examples=15)  # the witness is slow
@given(melody=melodies(min_notes=3, max_notes=12))
def test_the_key_found_fits_as_well_as_the_one_that_music21_finds(melody):
    part: stream.Stream[note.Note] = stream.Stream()
    for pitch, duration in zip(melody.pitches, melody.durations, strict=True):
        part.append(note.Note(int(pitch), quarterLength=float(duration)))
    witness = discrete.TemperleyKostkaPayne(part).getSolution(part)
    assert find_key(melody).correlation == pytest.approx(witness.correlationCoefficient)


def test_notes_that_are_all_equally_heard_fit_no_key_at_all():
    assert key_correlations(np.ones(12)).tolist() == [0.0] * 24


@given(melody=melodies(), semitones=st.integers(-LONGEST_TRANSPOSITION, LONGEST_TRANSPOSITION))
def test_a_melody_fits_its_key_as_well_in_every_transposition(melody, semitones):
    moved, still = find_key(transposed(melody, semitones)), find_key(melody)
    assert moved.correlation == pytest.approx(still.correlation)


@given(melody=melodies())
def test_pitch_class_weights_share_out_all_the_time_that_sounds(melody):
    weights = pitch_class_weights(melody.pitches, melody.durations)
    assert weights.shape == (12,)
    assert weights.sum() == pytest.approx(melody.durations.sum())


@pytest.mark.parametrize(
    ("scale", "tonic", "mode"),
    [  # Common practice, no source.
        ([67, 69, 71, 72, 74, 76, 78, 79], 7, "major"),
        ([64, 66, 67, 69, 71, 72, 75, 76], 4, "minor"),
    ],
)
def test_a_scale_from_tonic_to_tonic_is_in_its_key(scale, tonic, mode):
    key = find_key(melody_of(*scale))
    assert (key.tonic_pitch_class, key.mode) == (tonic, mode)


def test_a_melody_without_notes_has_no_key_and_the_error_says_so():
    with pytest.raises(MelodyError, match="at least one note"):
        find_key(melody_of())
