"""Scale degrees: pitches named by their position above the tonic."""

from melodex._types import Pitches

# Common practice, no source: the altered degrees of folk music are the lowered ones of minor and
# blues (b2 b3 b6 b7); the tritone is mostly the raised fourth of a secondary dominant.
DEGREE_NAMES = ("1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7")


def scale_degrees(pitches: Pitches, tonic_pitch_class: int) -> list[str]:
    """Return each pitch's degree of the major scale on the tonic, raised or lowered if needed.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers
    tonic_pitch_class : int
        0 for C to 11 for B.

    Returns
    -------
    list of str
        One name for each note, without octave: "1", "b3", "5".

    Examples
    --------
    >>> import numpy as np
    >>> scale_degrees(np.array([55, 58, 59, 62], dtype=np.int16), tonic_pitch_class=7)
    ['1', 'b3', '3', '5']
    """
    return [DEGREE_NAMES[(pitch - tonic_pitch_class) % 12] for pitch in pitches.tolist()]
