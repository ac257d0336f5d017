"""Whether notes belong to the scale of their key.

The scale is that of the stated tonic and mode, in minor with both sixths and both sevenths; what
the signature adds to it or takes from it is not looked at.
"""

import numpy as np
from numpy.typing import NDArray

from melodex._types import Pitches
from melodex.model.key import Key

SCALE_CLASSES = 3
IN_SCALE, OUTSIDE, UNKNOWN_SCALE = range(SCALE_CLASSES)


def scale_classes(pitches: Pitches, key: Key | None) -> NDArray[np.int8]:
    """Return whether each note is ``IN_SCALE`` or ``OUTSIDE`` it, by the key's mode.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers
    key : Key or None
        Where it, or its mode, is not stated, every note is of ``UNKNOWN_SCALE``.

    Returns
    -------
    shape (n_notes,), int8
    """
    scale = key.scale if key else None
    if scale is None:
        return unknown_scale(len(pitches))
    return np.where(np.isin(pitches % 12, list(scale)), IN_SCALE, OUTSIDE).astype(np.int8)


def unknown_scale(n_notes: int) -> NDArray[np.int8]:
    """Return ``UNKNOWN_SCALE`` for each note: no key is compared; shape (n_notes,)."""
    return np.full(n_notes, UNKNOWN_SCALE, np.int8)
