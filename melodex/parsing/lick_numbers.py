"""Build licks from numbers: pitches, onsets and durations."""

from numbers import Real
from typing import Any, cast

import numpy as np
from numpy.typing import ArrayLike

from melodex._types import Beats, Pitches
from melodex.errors import QueryError, shown
from melodex.model.lick import Lick
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE, Melody
from melodex.model.metre import Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_fields import parse_metre
from melodex.parsing.beat_strength import beat_strengths, free_metre_strengths

COMMON_TIME = Metre(4, 4)
LATEST_ONSET = 1e6  # quarter notes, a week of slow music; measure numbers stay far below 2**31


def lick_from_notes(
    pitches: ArrayLike,
    onsets: ArrayLike,
    durations: ArrayLike,
    *,
    metre: str | Metre | None = None,
    position: float = 0.0,
    came_from: str = "notes",
) -> Lick:
    """Build a lick from numbers: lists, arrays or columns of a table, one value for each note.

    Parameters
    ----------
    pitches : shape (n,)
        MIDI note numbers, whole numbers from 0 to 127; 60 is middle C.
    onsets : shape (n,), quarter notes
        Where each note begins, each later than the one before. Only differences matter.
    durations : shape (n,), quarter notes
        How long each note sounds, above 0.
    metre : str or None
        "3/4", "6/8", "(2+3+2)/8", or "none" for free metre; None is 4/4.
    position : float
        Quarter notes from the bar line to the first note; below 0 in a pickup.
    came_from : str
        The name that results show for the lick.

    Returns
    -------
    Lick
        For ``find_lick``, ``place_lick``, ``keep_lick`` and ``report_lick``.

    Raises
    ------
    QueryError
        If there are fewer than two notes, the lengths differ, a value is not a number or out of
        range, the onsets do not ascend, or the metre cannot be read. The message names the note.

    Examples
    --------
    >>> lick = lick_from_notes([62, 64, 67, 71], [0, 1, 2, 3], [1, 1, 1, 1], metre="3/4")
    >>> lick.melody.measures.tolist()
    [1, 1, 1, 2]
    """
    numbers = _note_numbers(pitches)
    starts, lengths = _times(onsets, "onsets"), _times(durations, "durations")
    _check_notes(numbers, starts, lengths)
    (first,) = _times([position], "position")
    counted_in = _metre_of(metre)
    places = starts - starts[:1] + first
    if counted_in.is_free:
        measures = np.ones(len(places), np.int32)
        strengths = free_metre_strengths(measures.astype(np.intp))
    else:
        measures = (places // float(counted_in.measure_length) + 1).astype(np.int32)
        strengths = beat_strengths(places, counted_in)
    melody = Melody(
        pitches=numbers,
        onsets=starts,
        durations=lengths,
        measures=measures,
        beat_strengths=strengths,
        strings=np.zeros(len(places), np.int8),
        frets=np.full(len(places), -1, np.int8),
        phrase_ends=np.empty(0, np.int32),
    )
    return Lick(melody, came_from, counted_in)


def _note_numbers(pitches: ArrayLike) -> Pitches:
    values = _values(pitches, "pitches")
    for note, value in enumerate(values, start=1):
        if not (
            _is_number(value)
            and LOWEST_MIDI_NOTE <= value <= HIGHEST_MIDI_NOTE
            and value == int(value)
        ):
            raise QueryError(
                f"Note {note} has the pitch {shown(value)}, which is not a MIDI note number.",
                f"give whole numbers from {LOWEST_MIDI_NOTE} to {HIGHEST_MIDI_NOTE}; "
                "60 is middle C.",
            )
    return np.array(values, np.int16)


def _times(given: ArrayLike, what: str) -> Beats:
    values = _values(given, what)
    for note, value in enumerate(values, start=1):
        if not (_is_number(value) and abs(value) <= LATEST_ONSET):  # NaN fails too
            whose = "The" if what == "position" else f"Note {note} of the"
            raise QueryError(
                f"{whose} {what} is {shown(value)}, which is not a number of quarter notes.",
                f"give numbers from {-LATEST_ONSET:,.0f} to {LATEST_ONSET:,.0f}.",
            )
    return np.array(values, np.float64)


def _values(given: ArrayLike, what: str) -> list[Any]:
    """Return values as a list of the original objects, so that True is not mistaken for 1.

    Raises
    ------
    QueryError
        If they are not a flat list.
    """
    values = np.array(given, dtype=object)
    if values.ndim != 1:
        raise QueryError(f"The {what} are not a list of numbers.", "give one number for each note.")
    return cast("list[Any]", values.tolist())


def _is_number(value: object) -> bool:
    return not isinstance(value, bool) and isinstance(value, Real)


def _check_notes(pitches: Pitches, onsets: Beats, durations: Beats) -> None:
    if not len(pitches) == len(onsets) == len(durations):
        raise QueryError(
            f"{len(pitches)} pitches, {len(onsets)} onsets and {len(durations)} durations "
            "do not make notes.",
            "give the same number of each.",
        )
    for note in np.flatnonzero(durations <= 0)[:1].tolist():
        raise QueryError(
            f"Note {note + 1} is {durations[note]:g} quarter notes long.",
            "give each note a duration above 0.",
        )
    for note in np.flatnonzero(np.diff(onsets) <= 0)[:1].tolist():
        raise QueryError(
            f"Note {note + 2} does not begin after the note before it.",
            "give one voice only, its notes in order of time.",
        )


def _metre_of(metre: object) -> Metre:
    if metre is None:
        return COMMON_TIME
    if isinstance(metre, Metre):
        return metre
    try:
        read = parse_metre(metre) if isinstance(metre, str) and metre.strip() else None
    except AbcError:
        read = None
    if read is None or read.remark:
        raise QueryError(f"{shown(metre)} is not a metre.", "write 4/4, 3/4, 6/8 or the like.")
    return read.metre
