"""Two well-known tunes and their published contour codes."""

import pytest

from melodex.features.contour import three_class_contour
from melodex.features.intervals import melodic_intervals
from tests.strategies import melody_of

# "Twinkle": C C G G A A G F F E E D D C.
TWINKLE = melody_of(60, 60, 67, 67, 69, 69, 67, 65, 65, 64, 64, 62, 62, 60)
# Ode to Joy: E E F G G F E D C C D E E D D.
ODE_TO_JOY = melody_of(64, 64, 65, 67, 67, 65, 64, 62, 60, 60, 62, 64, 64, 62, 62)


@pytest.mark.parametrize(
    ("melody", "code"),
    [
        # Source of the code: Parsons, The Directory of Tunes and Musical Themes, 1975
        # (from memory).
        (TWINKLE, "*RURURDDRDRDRD"),
        (ODE_TO_JOY, "*RUURDDDDRUURDR"),
    ],
)
def test_a_well_known_tune_has_its_published_contour(melody, code):
    letters = {-1: "D", 0: "R", 1: "U"}
    motions = three_class_contour(melody.pitches).tolist()
    assert "*" + "".join(letters[motion] for motion in motions) == code


@pytest.mark.parametrize(
    ("melody", "intervals"),
    [  # By arithmetic.
        (TWINKLE, [0, 7, 0, 2, 0, -2, -2, 0, -1, 0, -2, 0, -2]),
        (ODE_TO_JOY, [0, 1, 2, 0, -2, -1, -2, -2, 0, 2, 2, 0, -2, 0]),
    ],
)
def test_a_well_known_tune_has_its_intervals_and_their_directions(melody, intervals):
    assert melodic_intervals(melody.pitches).tolist() == intervals
    signs = [(step > 0) - (step < 0) for step in intervals]
    assert three_class_contour(melody.pitches).tolist() == signs
