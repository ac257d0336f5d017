"""Infer written note lengths from when keys were released."""

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.parsing.midi.rhythm_quantiser import Rhythm

# The shortest rest in music played by hand: a sixteenth. A key released half of that before the
# next note, or later, was held until that note. Common practice, no source.
SHORTEST_REST = 0.25
_SHORTEST_EXACT_REST = 1 / 16  # quarter notes: a 64th. Common practice, no source.
# In exact files rests begin on these parts of a quarter note, or on the grid of the note before; a
# constant shortening of notes, say to nine tenths, does not fit them. Common practice, no source.
_PARTS_WITH_RESTS = 48
# Rests are accepted if the ends of notes are near sixteenths or triplets. Random ends are
# 1/sqrt(12) = .29 of a step away, those moved by 20 ms at 140 a minute .15 (root mean squares).
_LARGEST_DISTANCE = 0.22
_SHARE_THAT_SOUNDS = 0.5  # of the time to the next note; a shorter note is followed by a rest
MORE_THAN_HALF = 0.501  # of a tick: the error of rounding to ticks, plus float rounding
_STEP_OF_DETACHED = 0.5  # quarter notes: lengths of detached notes are rounded up to this


def written_ends(rhythm: Rhythm, starts: Beats, ends: Beats, tick: float) -> Beats:
    """Return where each note ends in notation.

    An end close to the next note's onset becomes that onset. Other ends are placed on a grid if
    most of them are near grid points; if not, notes were detached rather than followed by rests,
    and last until the next one.

    Parameters
    ----------
    rhythm : Rhythm
        The rhythm of the n notes.
    starts, ends : shape (n,)
        When they were played, in quarter notes; ``starts`` ascending.
    tick : float
        The resolution of the file in quarter notes.

    Returns
    -------
    shape (n,), float64
        Quarter notes, each after its note's onset.
    """
    following = _following(rhythm.onsets)
    is_exact = rhythm.noise <= tick
    close = _closeness(tick) if is_exact else SHORTEST_REST / 2
    next_starts = np.append(starts, np.inf)[following]
    next_onsets = np.append(rhythm.onsets, np.inf)[following]
    held = next_starts - ends <= close
    places = (
        _exact_places(ends, rhythm.grids, tick) if is_exact else _near_places(ends, rhythm.grids)
    )
    known = ~np.isnan(places) & (places > rhythm.onsets)
    if _are_at_random((ends - places)[~held], tick):
        known[:] = False
    detached = _detached_ends(rhythm.onsets, ends - starts, next_onsets)
    return np.where(held, next_onsets, np.where(known, places, detached))


def _following(onsets: Beats) -> NDArray[np.intp]:
    """Return the index of the next note that begins later than each note; n if there is none."""
    return np.searchsorted(onsets, onsets, side="right")


def _closeness(tick: float) -> float:
    """Return the largest gap in an exact file that is not a rest, in quarter notes."""
    return max(_SHORTEST_EXACT_REST - tick, tick if tick < _SHORTEST_EXACT_REST else 0.0)


def _exact_places(ends: Beats, grids: NDArray[np.int64], tick: float) -> Beats:
    """Return the grid points that ends coincide with, up to rounding to ticks; NaN for none."""
    places = np.full(len(ends), np.nan)
    for grid in (grids, np.full(len(ends), _PARTS_WITH_RESTS)):
        nearest = np.rint(ends * grid) / grid
        fits = np.abs(nearest - ends) <= tick * MORE_THAN_HALF
        places[fits] = nearest[fits]
    return places


def _near_places(ends: Beats, grids: NDArray[np.int64]) -> Beats:
    """Return the nearest sixteenth, or in triplets the nearest sixth of a quarter note."""
    step = np.where(grids % 3 == 0, 6, 4)
    return np.rint(ends * step) / step


def _are_at_random(distances: Beats, tick: float) -> bool:
    """Return whether ends are too far from grid points to mean rests; distances may be NaN."""
    if not len(distances):
        return False
    if np.isnan(distances).mean() > 1 / 2:
        return True
    spread = float(np.sqrt(np.nanmean(distances**2)))
    return spread > max(_LARGEST_DISTANCE * SHORTEST_REST, tick / 2)


def _detached_ends(onsets: Beats, sounded: Beats, next_onsets: Beats) -> Beats:
    """Return the next onset, or the end of a rounded-up length if the note sounded much shorter."""
    steps = np.maximum(np.ceil(sounded / _STEP_OF_DETACHED), 1)
    rounded_up = onsets + steps * _STEP_OF_DETACHED
    reaches = sounded >= _SHARE_THAT_SOUNDS * (next_onsets - onsets)
    return np.where(reaches, next_onsets, np.minimum(rounded_up, next_onsets))


def as_fraction(quarters: float) -> Fraction:
    """Return a grid position as an exact fraction."""
    return Fraction(quarters).limit_denominator(1000)
