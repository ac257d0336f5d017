"""Plain tunes arranged in rolls by the benchmark, so that melodex does not judge its own rolls.

A melody note keeps its onset and gets a string; the slots of the roll up to the next melody note
are filled from a right-hand pattern over the chord that the left hand holds. Strings, chords and
patterns are common practice, no source.
"""

from bisect import bisect_left
from dataclasses import dataclass, replace

import numpy as np

from melodex.model.chord_names import ROOTS
from melodex.model.key import Key
from melodex.model.melody import Melody
from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.parsing.measures import MeasureList
from tests.benchmarks.quality.retrieval_measures import measures_of

OPEN_STRINGS = {1: 62, 2: 59, 3: 55, 4: 50, 5: 67}
DRONE = 5
HIGHEST_FRET = 12
ROLLS = {
    "forward": (3, 2, 1, 5, 3, 1, 5, 3),
    "backward": (1, 2, 5, 1, 3, 5, 1, 2),
    "forward-reverse": (3, 2, 1, 5, 1, 2, 3, 1),
    "alternating thumb": (3, 2, 5, 1, 4, 2, 5, 1),
}
# Frets that the left hand holds on strings 4 to 1, and the chord's pitch classes.
CHORDS = {
    "G": ((0, 0, 0, 0), (7, 11, 2)),
    "C": ((2, 0, 1, 2), (0, 4, 7)),
    "D7": ((0, 2, 1, 0), (2, 6, 9, 0)),
    "Em": ((2, 0, 0, 2), (4, 7, 11)),
    "Am": ((2, 2, 1, 2), (9, 0, 4)),
}
METRES = (Metre(2, 4), Metre(4, 4), Metre(2, 2), Metre(3, 4))  # that eight-slot rolls go with
# A tune in quarter notes is rolled in eighths, now and then in sixteenths.
SLOTS_IN_A_NOTE = (2, 2, 4)
_G_MAJOR = np.isin(np.arange(12), (7, 9, 11, 0, 2, 4, 6))
# The triad's notes count a little more: it decides between keys that share a tune's notes.
_FIT = _G_MAJOR + 0.1 * np.isin(np.arange(12), CHORDS["G"][1])
_FIT_AFTER_SHIFT = np.array([np.roll(_FIT, -shift) for shift in range(12)])  # shape (12, 12)
_MIDDLE = 60  # where a tune's middle should lie: between the second string and the first
_OTHER_STRING = 0.2  # how often a melody note is played higher up on a lower string
SAME_TIME = 1e-6


@dataclass(frozen=True, slots=True)
class Struck:
    """One note of an arrangement."""

    onset: float
    string: int
    fret: int

    @property
    def pitch(self) -> int:
        """MIDI note number; the short string's frets are counted from its own nut."""
        return OPEN_STRINGS[self.string] + self.fret


def can_be_rolled(song: Song) -> bool:
    """Tell whether a tune's metre and range suit rolls in open G."""
    if song.metre not in METRES or song.metre_changes or len(song.melody) < 2:
        return False
    pitches = song.melody.pitches + _shift_to_g(song.melody)
    return bool(
        pitches.min() >= OPEN_STRINGS[4] and pitches.max() <= OPEN_STRINGS[1] + HIGHEST_FRET
    )


def rolled(song: Song, rng: np.random.Generator) -> Song:
    """Arrange a tune in one kind of roll, moved to open G, every string and fret given."""
    melody = song.melody
    shift = _shift_to_g(melody)
    pitches = (melody.pitches + shift).tolist()
    measures = measures_of(song)
    roll = ROLLS[str(rng.choice(sorted(ROLLS)))]
    strings = [_string_for(pitch, rng) for pitch in pitches]
    chords = _chord_of_each_measure(melody, pitches)
    slots = _slots(measures, _usual_note(melody) / float(rng.choice(SLOTS_IN_A_NOTE)), roll)
    ends = [*melody.onsets[1:].tolist(), float(melody.onsets[-1] + melody.durations[-1])]
    notes: list[Struck] = []
    for note, (pitch, string) in enumerate(zip(pitches, strings, strict=True)):
        onset, end = float(melody.onsets[note]), ends[note]
        notes.append(Struck(onset, string, pitch - OPEN_STRINGS[string]))
        held = _frets_held(chords[int(melody.measures[note])]) | {string: notes[-1].fret}
        following = set(strings[note + 1 : note + 2])
        notes += _fills(slots.between(onset, end), notes[-1], held, following)
    return replace(
        song,
        melody=_melody_of(notes, ends[-1], measures),
        tuning=tuple(OPEN_STRINGS.values()),
        key=_moved_key(song.key, shift),
    )


def strings_withheld(song: Song) -> Song:
    """Forget on which strings a tune is played."""
    count = len(song.melody)
    melody = replace(
        song.melody, strings=np.zeros(count, np.int8), frets=np.full(count, -1, np.int8)
    )
    return replace(song, melody=melody, tuning=())


def _moved_key(key: Key | None, half_steps: int) -> Key | None:
    if key is None or key.tonic_pitch_class is None:
        return None
    return Key(ROOTS[(key.tonic_pitch_class + half_steps) % len(ROOTS)], key.mode)


def _shift_to_g(melody: Melody) -> int:
    """Half-steps that bring most of a tune's time into G major and its middle to mid-neck."""
    sounded = np.bincount(melody.pitches % 12, weights=melody.durations, minlength=12)
    shift = int(np.argmax(_FIT_AFTER_SHIFT @ sounded))
    middle = float(np.median(melody.pitches)) + shift
    shift += 12 * round((_MIDDLE - middle) / 12)
    while melody.pitches.min() + shift < OPEN_STRINGS[4]:
        shift += 12
    return shift


def _usual_note(melody: Melody) -> float:
    """The commonest distance between notes, as a plain note value."""
    return float(2.0 ** np.floor(np.log2(np.median(np.diff(melody.onsets)))))


def _chord_of_each_measure(melody: Melody, pitches: list[int]) -> dict[int, str]:
    """Choose for every measure the chord that holds most of its time; G where several do."""
    classes = np.array(pitches) % 12
    chords = {}
    for measure in np.unique(melody.measures):
        here = melody.measures == measure
        sounded = np.bincount(classes[here], weights=melody.durations[here], minlength=12)
        chords[int(measure)] = max(CHORDS, key=lambda name: sounded[list(CHORDS[name][1])].sum())
    return chords


def _string_for(pitch: int, rng: np.random.Generator) -> int:
    """Choose the string of the lowest fret, now and then the next lower string."""
    reachable = [s for s in (1, 2, 3, 4) if 0 <= pitch - OPEN_STRINGS[s] <= HIGHEST_FRET]
    return reachable[1 if len(reachable) > 1 and rng.random() < _OTHER_STRING else 0]


@dataclass(frozen=True, slots=True)
class Slots:
    """The places of a roll's notes in a whole tune."""

    onsets: list[float]
    strings: list[int]
    length: float

    def between(self, onset: float, end: float) -> list[tuple[float, int]]:
        """List onset and string of the slots from half a slot after ``onset`` up to ``end``."""
        first = bisect_left(self.onsets, onset + self.length / 2 - SAME_TIME)
        last = bisect_left(self.onsets, end - self.length / 2 + SAME_TIME)
        return list(zip(self.onsets[first:last], self.strings[first:last], strict=True))


def _slots(measures: MeasureList, length: float, roll: tuple[int, ...]) -> Slots:
    """Start the roll anew in every measure."""
    onsets: list[float] = []
    strings: list[int] = []
    ends = [*measures.onsets[1:], np.inf]
    for onset, end, position, metre in zip(
        measures.onsets, ends, measures.positions, measures.metres, strict=True
    ):
        full = round(float(metre.measure_length) / length)
        for place in range(full):
            at = onset - position + place * length
            if onset - SAME_TIME < at < end - SAME_TIME:
                onsets.append(at)
                strings.append(roll[place % len(roll)])
    return Slots(onsets, strings, length)


def _frets_held(chord: str) -> dict[int, int]:
    return dict(zip((4, 3, 2, 1), CHORDS[chord][0], strict=True)) | {DRONE: 0}


def _fills(
    slots: list[tuple[float, int]], melody_note: Struck, held: dict[int, int], following: set[int]
) -> list[Struck]:
    """Fill slots with the roll's strings, never the one just struck or the one needed next."""
    fills: list[Struck] = []
    for place, (onset, wanted) in enumerate(slots):
        avoided = {fills[-1].string if fills else melody_note.string}
        if place == len(slots) - 1:
            avoided |= following
        string = next(each for each in (wanted, DRONE, 1, 2) if each not in avoided)
        fills.append(Struck(onset, string, held[string]))
    return fills


def _melody_of(notes: list[Struck], end: float, measures: MeasureList) -> Melody:
    onsets = np.array([note.onset for note in notes])
    measure_of = measures.measure_of(onsets)
    return Melody(
        pitches=np.array([note.pitch for note in notes], np.int16),
        onsets=onsets,
        durations=np.diff(onsets, append=end),
        measures=np.array(measures.numbers, np.int32)[measure_of],
        beat_strengths=measures.strengths(onsets, measure_of),
        strings=np.array([note.string for note in notes], np.int8),
        frets=np.array([note.fret for note in notes], np.int8),
        phrase_ends=np.empty(0, np.int32),
    )
