"""Convert a lick to another metre: from 4/4 for a song in 2/4, and the like."""

from dataclasses import replace
from math import log
from typing import NamedTuple

import numpy as np

from melodex.banjo.placing.lick_windows import position_in_measure
from melodex.model.lick import Lick
from melodex.model.melody import Melody
from melodex.model.metre import Metre
from melodex.model.results.placement import AS_WRITTEN
from melodex.model.song import Song
from melodex.parsing.lick_numbers import lick_from_notes
from melodex.parsing.measures import measure_list_of

# A measure of one of these is half of, twice, or the same as one of another, beat for beat. Common
# practice, no source.
_COUNTED_IN_TWOS = (Metre(2, 4), Metre(4, 4), Metre(2, 2))
_VALUES = {0.5: "note values halved", 2.0: "note values doubled"}
_MEASURES = {
    0.5: "each measure over two",
    1.0: AS_WRITTEN,
    2.0: "two measures in one",
}


class LickInMetre(NamedTuple):
    """A lick converted to the song's metre."""

    lick: Lick
    form: str  # the conversion, in words
    given: Lick  # the original lick, note for note


def in_metre_of(song: Song, lick: Lick) -> LickInMetre:
    """Convert a lick to a song's metre if both are duple; otherwise leave it unchanged.

    If the lick's pace is then closer to the song's, note values are halved or doubled, so that
    measures correspond one to one; otherwise one measure becomes two, or two become one.
    """
    metres = measure_list_of(song).metres
    fitting = [metre for metre in metres if metre in _COUNTED_IN_TWOS]
    if lick.metre in metres or lick.metre not in _COUNTED_IN_TWOS or not fitting:
        return LickInMetre(lick, AS_WRITTEN, lick)
    metre = fitting[0]
    measures = float(metre.measure_length / lick.metre.measure_length)
    pace = _pace(song.melody) / _pace(lick.melody)
    times = min((measures, 1.0), key=lambda factor: abs(log(factor / pace)))
    form = _MEASURES[measures] if times == 1 else _VALUES[times]
    return LickInMetre(_rewritten(lick, metre, times), form, lick)


def _pace(melody: Melody) -> float:
    """Return the median time from note to note, in quarter notes."""
    return float(np.median(np.diff(melody.onsets))) if len(melody) > 1 else 1.0


def _rewritten(lick: Lick, metre: Metre, times: float) -> Lick:
    melody = lick.melody
    position = position_in_measure(lick) * times % float(metre.measure_length)
    plain = lick_from_notes(
        melody.pitches,
        melody.onsets * times,
        melody.durations * times,
        metre=metre,
        position=position,
    ).melody
    rewritten = replace(
        melody,
        onsets=plain.onsets,
        durations=plain.durations,
        measures=plain.measures,
        beat_strengths=plain.beat_strengths,
    )
    hands = lick.hands and replace(
        lick.hands,
        notes=tuple(
            replace(note, onset=note.onset * times, duration=note.duration * times)
            for note in lick.hands.notes
        ),
    )
    chords = tuple(replace(chord, onset=chord.onset * times) for chord in lick.chords)
    return replace(lick, melody=rewritten, metre=metre, hands=hands, chords=chords)
