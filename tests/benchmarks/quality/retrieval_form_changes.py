"""What players make of a whole tune: another metre, another mode, fewer notes, another swing.

Each change returns None where it does not fit the passage. What players do is common practice, no
source.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple, TypeAlias

import numpy as np

from melodex.model.metre import Metre
from tests.benchmarks.quality.retrieval_changes import FEWEST_LEFT, Passage, scaled

ROUNDING = 1e-6  # quarter notes: the onsets of tuplets are not exact in binary
JIG, REEL = Metre(6, 8), Metre(4, 4)
JIG_METRES = ("6/8", "12/8")
REEL_METRES = ("2/2", "4/4", "2/4")
SIMPLE_METRES = (*REEL_METRES, "3/4")
SIXTEENTH, EIGHTH, QUARTER, DOTTED_QUARTER, HALF = 0.25, 0.5, 1.0, 1.5, 2.0
REEL_NOTES = 8  # running notes that fill a measure of a reel
RUNNING_SHARE = 1 / 2  # of the notes of a running line, at least
PAIRED_SHARE = 1 / 2  # of the notes that a change of pairs must change, at least
ALTERED_SHARE = 1 / 8  # of the notes that a change of scale must change, at least
# Half-steps above the tonic. Major and minor differ in third, sixth and seventh; mixolydian and
# dorian, which share the lowered seventh, in the third alone.
OTHER_MODE = {
    "major": {4: 3, 9: 8, 11: 10},
    "minor": {3: 4, 8: 9, 10: 11},
    "mixolydian": {4: 3},
    "dorian": {3: 4},
}
_MAJOR_FIVE, _MINOR_FIVE = frozenset({0, 2, 4, 7, 9}), frozenset({0, 3, 5, 7, 10})
FIVE_NOTES = {
    "major": _MAJOR_FIVE,
    "mixolydian": _MAJOR_FIVE,
    "minor": _MINOR_FIVE,
    "dorian": _MINOR_FIVE,
}


class Home(NamedTuple):
    """The key of the tune that a passage was cut from, moved as the passage was."""

    tonic: int  # pitch class
    mode: str  # a key of OTHER_MODE


FormChange: TypeAlias = Callable[[Passage, Home | None], Passage | None]
Notes: TypeAlias = list[tuple[float, float, int]]  # onset, duration, pitch
# Where in its beat a place lies before and after a change, each from 0 to 1.
_Bend: TypeAlias = tuple[tuple[float, ...], tuple[float, ...]]
_PAIR_TO_LONG_SHORT: _Bend = (0, 1 / 2, 1), (0, 2 / 3, 1)
_LONG_SHORT_TO_PAIR: _Bend = (0, 2 / 3, 1), (0, 1 / 2, 1)
_THREE_WITH_THE_FIRST_HELD: _Bend = (0, 1 / 3, 2 / 3, 1), (0, 1 / 2, 3 / 4, 1)


def jig_of_all_notes(passage: Passage, _: Home | None) -> Passage | None:
    """Play a reel's running notes as eighths of 6/8, three to a beat, counted from its bar line."""
    value = _reel_value(passage)
    if value is None:
        return None
    to_bar_line = -passage.position % float(passage.metre.measure_length)
    factor = EIGHTH / value
    return replace(scaled(passage, factor), metre=JIG, position=-to_bar_line * factor)


def jig_in_long_short(passage: Passage, _: Home | None) -> Passage | None:
    """Play each pair of a reel's running notes as quarter and eighth, a beat of 6/8.

    A measure of the reel becomes two of the jig.
    """
    value = _reel_value(passage)
    if value is None:
        return None
    bend = dict.fromkeys(_beats(passage, 2 * value), _PAIR_TO_LONG_SHORT)
    return _relaid(passage, (2 * value, DOTTED_QUARTER), bend, JIG)


def reel_of_jig(passage: Passage, _: Home | None) -> Passage | None:
    """Play each beat of a jig in the time of a half note of 4/4.

    Long-short becomes two even quarters; of three eighths the first is held for a quarter.
    """
    if str(passage.metre) not in JIG_METRES or not _on_grid(passage, EIGHTH):
        return None
    if np.mean(np.array(passage.durations) < DOTTED_QUARTER - ROUNDING) < RUNNING_SHARE:
        return None
    has_second_eighth = {int(place // 3) for place in _places(passage, EIGHTH) if place % 3 == 1}
    bend = {
        beat: _THREE_WITH_THE_FIRST_HELD if beat in has_second_eighth else _LONG_SHORT_TO_PAIR
        for beat in _beats(passage, DOTTED_QUARTER)
    }
    return _relaid(passage, (DOTTED_QUARTER, HALF), bend, REEL)


def quarters_for_eighths(passage: Passage, _: Home | None) -> Passage | None:
    """Keep the notes on the quarters of a line of eighths; each lasts until the next."""
    if _running_value(passage) != EIGHTH or str(passage.metre) not in SIMPLE_METRES:
        return None
    on_quarter = [abs(place - round(place)) < ROUNDING for place in _places(passage, QUARTER)]
    kept: Notes = []
    for is_kept, (onset, duration, pitch) in zip(on_quarter, passage.notes(), strict=True):
        if is_kept:
            kept.append((onset, duration, pitch))
        elif kept:
            begin, held = kept[-1][0], kept[-1][2]
            kept[-1] = (begin, onset + duration - begin, held)
    return passage.with_notes(kept) if FEWEST_LEFT <= len(kept) < len(passage) else None


def in_other_mode(passage: Passage, home: Home | None) -> Passage | None:
    """Play a major tune in the parallel minor, a mixolydian one in dorian, and the other way."""
    if home is None:
        return None
    steps = {degree: other - degree for degree, other in OTHER_MODE[home.mode].items()}
    pitches = tuple(pitch + steps.get((pitch - home.tonic) % 12, 0) for pitch in passage.pitches)
    scale = {(pitch + steps.get((pitch - home.tonic) % 12, 0)) % 12 for pitch in passage.scale}
    if _share_that_differs(passage.pitches, pitches) < ALTERED_SHARE:
        return None
    return replace(passage, pitches=pitches, scale=frozenset(scale))


def in_five_notes(passage: Passage, home: Home | None) -> Passage | None:
    """Leave out degrees 4 and 7 in major, 2 and 6 in minor.

    A weaker note than the one before it is merged with that; any other becomes the nearest of the
    five, the upper one of two.
    """
    if home is None:
        return None
    five = FIVE_NOTES[home.mode]
    is_in = [(pitch - home.tonic) % 12 in five for pitch in passage.pitches]
    if 1 - np.mean(is_in) < ALTERED_SHARE:
        return None
    strengths = passage.lick("").melody.beat_strengths
    notes: Notes = []
    for note, (onset, duration, pitch) in enumerate(passage.notes()):
        if is_in[note]:
            notes.append((onset, duration, pitch))
        elif notes and strengths[note] < strengths[note - 1] and _joins(notes[-1], onset):
            first, held, before = notes[-1]
            notes[-1] = (first, held + duration, before)
        else:
            notes.append((onset, duration, _nearest(pitch, home.tonic, five)))
    scale = frozenset((home.tonic + degree) % 12 for degree in five)
    simpler = replace(passage.with_notes(notes), scale=scale)
    return simpler if len(notes) >= FEWEST_LEFT else None


def dotted_for_even(passage: Passage, _: Home | None) -> Passage | None:
    """Play the even pairs of a running line dotted, three to one."""
    value = _running_value(passage)
    if value is None:
        return None
    return _with_pairs(passage, {(value, value)}, 3 / 4)


def even_for_dotted(passage: Passage, _: Home | None) -> Passage | None:
    """Play the dotted pairs of a line even, and those with the short note first."""
    short_long = [(beat / 4, beat * 3 / 4) for beat in (EIGHTH, QUARTER)]
    return _with_pairs(
        passage, {*short_long, *((long, short) for short, long in short_long)}, 1 / 2
    )


FORMS: dict[str, FormChange] = {
    "reel as jig, all notes": jig_of_all_notes,
    "reel as jig, long-short": jig_in_long_short,
    "jig as reel": reel_of_jig,
    "quarters for eighths": quarters_for_eighths,
    "other mode": in_other_mode,
    "pentatonic": in_five_notes,
    "dotted for even": dotted_for_even,
    "even for dotted": even_for_dotted,
}


def _running_value(passage: Passage) -> float | None:
    """Return the short note value that most of a line moves in, in quarter notes."""
    values = np.array(passage.durations)
    shares = {value: np.mean(np.abs(values - value) < ROUNDING) for value in (SIXTEENTH, EIGHTH)}
    commonest = max(shares, key=lambda value: shares[value])
    return commonest if shares[commonest] >= RUNNING_SHARE else None


def _reel_value(passage: Passage) -> float | None:
    """Return the running value of a reel's passage without triplets."""
    value = _running_value(passage)
    if value is None or str(passage.metre) not in REEL_METRES or not _on_grid(passage, value / 2):
        return None
    return value if REEL_NOTES * value == passage.metre.measure_length else None


def _places(passage: Passage, unit: float) -> list[float]:
    """List how many units each note begins after the bar line before the passage."""
    places = [(passage.position + onset - passage.onsets[0]) / unit for onset in passage.onsets]
    return [float(round(p)) if abs(p - round(p)) < ROUNDING else p for p in places]


def _on_grid(passage: Passage, unit: float) -> bool:
    return all(place.is_integer() for place in _places(passage, unit))


def _beats(passage: Passage, beat: float) -> range:
    """Number the beats that a passage touches, the last note's end included."""
    places = _places(passage, beat)
    return range(int(places[0] // 1), int(places[-1] + passage.durations[-1] / beat) + 2)


def _relaid(
    passage: Passage, beats: tuple[float, float], bends: dict[int, _Bend], metre: Metre
) -> Passage:
    """Lay the beats of a passage, of the one length, out in beats of the other.

    Parameters
    ----------
    beats : quarter notes before and after
    bends : by the number of the beat, counted from the bar line before the passage
    """
    old, new = beats

    def moved(time: float) -> float:
        beat = int((time / old + ROUNDING) // 1)
        return new * (beat + float(np.interp(time / old - beat, *bends[beat])))

    places = np.array(passage.onsets) - passage.onsets[0] + passage.position
    starts = [moved(time) for time in places.tolist()]
    ends = [moved(time) for time in (places + passage.durations).tolist()]
    return replace(
        passage,
        onsets=tuple(start - starts[0] for start in starts),
        durations=tuple(end - start for start, end in zip(starts, ends, strict=True)),
        metre=metre,
        position=starts[0],
    )


def _with_pairs(
    passage: Passage, wanted: set[tuple[float, float]], share_of_first: float
) -> Passage | None:
    """Divide each pair of notes on a beat anew, where its two note values are wanted ones."""
    if str(passage.metre) not in SIMPLE_METRES:
        return None
    notes, changed = passage.notes(), 0
    for note in range(len(notes) - 1):
        (onset, first, pitch), (later, second, following) = notes[note : note + 2]
        beat = first + second
        is_wanted = any(np.allclose((first, second), pair, atol=ROUNDING) for pair in wanted)
        on_beat = _places(passage, beat)[note].is_integer()
        if is_wanted and on_beat and _joins(notes[note], later):
            place = onset + share_of_first * beat
            notes[note : note + 2] = [
                (onset, place - onset, pitch),
                (place, later + second - place, following),
            ]
            changed += 2
    return passage.with_notes(notes) if changed >= PAIRED_SHARE * len(notes) else None


def _joins(note: tuple[float, float, int], onset: float) -> bool:
    return abs(note[0] + note[1] - onset) < ROUNDING


def _nearest(pitch: int, tonic: int, degrees: frozenset[int]) -> int:
    steps = (1, -1, 2, -2)  # the five notes leave no wider gap than three half-steps
    return pitch + next(step for step in steps if (pitch + step - tonic) % 12 in degrees)


def _share_that_differs(before: tuple[int, ...], after: tuple[int, ...]) -> float:
    return float(np.mean(np.array(before) != np.array(after)))
