"""Key correlations against published profiles."""

import numpy as np
import pytest
from music21.analysis import discrete

from melodex.features.key_finding import KeyProfiles, key_correlations

# Source: Krumhansl & Kessler, "Tracing the dynamic changes in perceived tonal organization",
# Psychological Review 89 (1982) 334-368; the twelve numbers as in music21's analysis.discrete.
KRUMHANSL_KESSLER = KeyProfiles(
    major=np.array([6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88]),
    minor=np.array([6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17]),
)
# "Twinkle", 14 notes in C: how many there are of each pitch class, and how long they sound.
NOTE_COUNTS = np.array([3.0, 0, 2, 0, 2, 2, 0, 3, 0, 2, 0, 0])
QUARTER_NOTES = np.array([4.0, 0, 2, 0, 2, 2, 0, 4, 0, 2, 0, 0])
C_MAJOR, G_MAJOR, A_MINOR = 0, 7, 12 + 9


@pytest.mark.parametrize(
    ("weights", "key", "correlation"),
    [  # By arithmetic, recomputed with numpy.corrcoef.
        (NOTE_COUNTS, C_MAJOR, 0.92896),
        (NOTE_COUNTS, A_MINOR, 0.6786),
        (NOTE_COUNTS, G_MAJOR, 0.6419),
        (QUARTER_NOTES, C_MAJOR, 0.95859),
        (QUARTER_NOTES, G_MAJOR, 0.67623),
    ],
)
def test_a_well_known_tune_fits_keys_as_the_published_profiles_say(weights, key, correlation):
    correlations = key_correlations(weights, KRUMHANSL_KESSLER)
    assert correlations[key] == pytest.approx(correlation, abs=5e-5)
    assert correlations.argmax() == C_MAJOR


def test_the_published_profiles_are_those_that_music21_carries():
    witness = discrete.KrumhanslSchmuckler()
    assert KRUMHANSL_KESSLER.major.tolist() == witness.getWeights("major")
    assert KRUMHANSL_KESSLER.minor.tolist() == witness.getWeights("minor")
