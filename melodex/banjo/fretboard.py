"""Find every string and fret that sounds a pitch."""

from typing import NamedTuple

from melodex.model.tuning import HIGHEST_FRET, BanjoTuning


class FretPlace(NamedTuple):
    """A string, 1 to 5, and a fret counted as in tab (see ``BanjoTuning``)."""

    string: int
    fret: int


def fret_places(pitch: int, tuning: BanjoTuning) -> list[FretPlace]:
    """Return the places on the neck that sound a pitch.

    Parameters
    ----------
    pitch : int
        MIDI note number.

    Returns
    -------
    list of FretPlace
        From string 1 to string 5; empty if the neck has no such note.
    """
    return [
        FretPlace(string, fret)
        for string in range(1, len(tuning.strings) + 1)
        for fret in range(HIGHEST_FRET + 1)
        if tuning.has(string, fret) and tuning.pitch(string, fret) == pitch
    ]


def range_of(tuning: BanjoTuning) -> tuple[int, int]:
    """Return the lowest and the highest pitch of a neck, MIDI note numbers."""
    pitches = [
        tuning.pitch(string, fret)
        for string in range(1, len(tuning.strings) + 1)
        for fret in range(HIGHEST_FRET + 1)
        if tuning.has(string, fret)
    ]
    return min(pitches), max(pitches)
