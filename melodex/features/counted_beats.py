"""The beat of a note in its measure, as musicians count."""

import numpy as np

from melodex.features.as_played import SAME_ONSET
from melodex.model.metre import Metre
from melodex.model.song import Song

_PICKUP = 0  # the number of an incomplete first measure
_DIGITS = 3  # of a beat; triplets are thirds


def beat_at(song: Song, onset: float) -> float | None:
    """Return the beat of the measure at which something begins; the downbeat is 1.

    Beats are units of the metre's lower number: quarter notes in 4/4, eighths in 6/8; 2.5 is
    halfway from the second to the third. A pickup is counted as the end of a full measure.

    Parameters
    ----------
    onset : float
        Quarter notes from the start of the written music.

    Returns
    -------
    float or None
        None in free metre.

    Examples
    --------
    In 6/8 the second group of eighths begins on beat 4.
    """
    metre = _metre_at(song, onset)
    bars, numbers = song.measures.onsets, song.measures.numbers
    if metre.is_free or not len(bars):
        return None
    begun = int(np.count_nonzero(bars <= onset + SAME_ONSET))
    # A repeat may divide a measure; counting continues in its second part.
    first = int(np.argmax(numbers == numbers[max(begun - 1, 0)]))
    length = float(metre.measure_length)
    place = onset - float(bars[first])
    if numbers[first] == _PICKUP and first + 1 < len(bars):
        place += max(length - float(bars[first + 1] - bars[first]), 0.0)
    return round(1 + place * metre.denominator / 4, _DIGITS)


def _metre_at(song: Song, onset: float) -> Metre:
    begun = [change.metre for change in song.metre_changes if change.onset <= onset + SAME_ONSET]
    return [song.metre, *begun][-1]
