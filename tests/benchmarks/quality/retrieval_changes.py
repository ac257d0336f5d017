"""What players do to a lick: seeded changes of a few notes in a measure.

Every change leaves most of a lick as it was. Which changes are usual is common practice, no source.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from melodex.model.lick import Lick
from melodex.model.metre import Metre
from melodex.parsing.lick_numbers import lick_from_notes

FEWEST_LEFT = 4  # notes that a change must leave
WIDE = 3  # half-steps: an interval with room for a passing note
SHORTEST_SPLIT = 0.25  # quarter notes: a note that can be struck twice


@dataclass(frozen=True, slots=True)
class Passage:
    """A few notes cut from a tune."""

    pitches: tuple[int, ...]
    onsets: tuple[float, ...]
    durations: tuple[float, ...]
    metre: Metre
    position: float  # quarter notes from the bar line to the first note
    scale: frozenset[int]  # pitch classes that the tune uses

    def __len__(self) -> int:
        return len(self.pitches)

    def lick(self, name: str) -> Lick:
        """Ask for it as a user does, by plain numbers."""
        return lick_from_notes(
            self.pitches,
            self.onsets,
            self.durations,
            metre=self.metre,
            position=self.position,
            came_from=name,
        )

    def with_notes(self, notes: list[tuple[float, float, int]]) -> "Passage":
        """Give other notes, each onset, duration, pitch; the first may begin later in time."""
        onsets, durations, pitches = zip(*notes, strict=True)
        position = self.position + onsets[0] - self.onsets[0]
        return replace(self, pitches=pitches, onsets=onsets, durations=durations, position=position)

    def notes(self) -> list[tuple[float, float, int]]:
        """List onset, duration and pitch of every note."""
        return list(zip(self.onsets, self.durations, self.pitches, strict=True))


Change: TypeAlias = Callable[[Passage, np.random.Generator], Passage]


def drop_pickup(passage: Passage, _: np.random.Generator) -> Passage:
    """Leave out the notes before the first bar line, at most three; else the first note."""
    measure = float(passage.metre.measure_length)
    places = [
        passage.position + onset - passage.onsets[0] for onset in passage.onsets[:FEWEST_LEFT]
    ]
    later = [note for note in range(1, len(places)) if _crosses(places[0], places[note], measure)]
    dropped = min(later[0] if later else 1, len(passage) - FEWEST_LEFT)
    return passage.with_notes(passage.notes()[max(dropped, 1) :])


def split_notes(passage: Passage, rng: np.random.Generator) -> Passage:
    """Strike about a quarter of the notes twice; a dotted note after two thirds of its length."""
    long_enough = [n for n, value in enumerate(passage.durations) if value > SHORTEST_SPLIT]
    chosen = _some(long_enough or range(len(passage)), len(passage) / 4, rng)
    notes: list[tuple[float, float, int]] = []
    for note, (onset, duration, pitch) in enumerate(passage.notes()):
        first = duration * _share_of_first(duration) if note in chosen else duration
        notes.append((onset, first, pitch))
        if note in chosen:
            notes.append((onset + first, duration - first, pitch))
    return passage.with_notes(notes)


def join_notes(passage: Passage, rng: np.random.Generator) -> Passage:
    """Hold about a sixth of the notes through the next: a repeated one, else one on a weak beat."""
    notes = passage.notes()
    strengths = passage.lick("").melody.beat_strengths
    inner = range(len(notes) - 2)
    equal = [n for n in inner if notes[n][2] == notes[n + 1][2]]
    weaker = [n for n in inner if strengths[n + 1] < strengths[n]]
    for note in sorted(_some(equal or weaker or inner, len(notes) / 6, rng), reverse=True):
        onset, _, pitch = notes[note]
        following, duration, _ = notes[note + 1]
        notes[note : note + 2] = [(onset, following + duration - onset, pitch)]
    return passage.with_notes(notes)


def add_passing_notes(passage: Passage, rng: np.random.Generator) -> Passage:
    """Fill about a quarter of the intervals with a note of the scale, thirds and wider first."""
    notes = passage.notes()
    gaps = range(len(notes) - 1)
    wide = [n for n in gaps if abs(notes[n + 1][2] - notes[n][2]) >= WIDE]
    added: list[tuple[float, float, int]] = []
    for gap in _some(wide or gaps, len(notes) / 4, rng):
        (onset, duration, pitch), (_, _, following) = notes[gap], notes[gap + 1]
        notes[gap] = (onset, duration / 2, pitch)
        between = _between(pitch, following, passage.scale)
        added.append((onset + duration / 2, duration / 2, between))
    return passage.with_notes(sorted(notes + added))


def shift_some_by_octave(passage: Passage, rng: np.random.Generator) -> Passage:
    """Move a stretch of up to a third of the notes by an octave."""
    length = int(rng.integers(1, max(len(passage) // 3, 1) + 1))
    first = int(rng.integers(0, len(passage) - length + 1))
    octave = _octave(rng)
    moved = [
        pitch + octave if first <= note < first + length else pitch
        for note, pitch in enumerate(passage.pitches)
    ]
    return replace(passage, pitches=tuple(moved))


def shift_all_by_octave(passage: Passage, rng: np.random.Generator) -> Passage:
    """Move everything by an octave."""
    octave = _octave(rng)
    return replace(passage, pitches=tuple(pitch + octave for pitch in passage.pitches))


def play_one_wrong_note(passage: Passage, rng: np.random.Generator) -> Passage:
    """Miss one note by one to three half-steps."""
    note = int(rng.integers(len(passage)))
    miss = int(rng.choice([-3, -2, -1, 1, 2, 3]))
    pitches = list(passage.pitches)
    pitches[note] += miss
    return replace(passage, pitches=tuple(pitches))


def halve_note_values(passage: Passage, _: np.random.Generator) -> Passage:
    """Write everything half as long, the first bar line in place."""
    return scaled(passage, 0.5)


def double_note_values(passage: Passage, _: np.random.Generator) -> Passage:
    """Write everything twice as long, the first bar line in place."""
    return scaled(passage, 2.0)


def scaled(passage: Passage, factor: float) -> Passage:
    """Multiply every note value, the first bar line in place."""
    return replace(
        passage,
        onsets=tuple(factor * onset for onset in passage.onsets),
        durations=tuple(factor * duration for duration in passage.durations),
        position=factor * passage.position,
    )


CHANGES: dict[str, Change] = {
    "pickup dropped": drop_pickup,
    "notes split": split_notes,
    "notes joined": join_notes,
    "passing notes": add_passing_notes,
    "some notes an octave off": shift_some_by_octave,
    "all notes an octave off": shift_all_by_octave,
    "one wrong note": play_one_wrong_note,
    "values halved": halve_note_values,
    "values doubled": double_note_values,
}


def _crosses(first: float, later: float, measure: float) -> bool:
    return later // measure > first // measure


def _some(notes: list[int] | range, about: float, rng: np.random.Generator) -> set[int]:
    """Choose about so many notes, one at least, no two of them neighbours."""
    chosen: set[int] = set()
    for note in rng.permutation(list(notes)).tolist():
        if len(chosen) < max(round(about), 1) and not chosen & {note - 1, note + 1}:
            chosen.add(note)
    return chosen


def _share_of_first(duration: float) -> float:
    """2/3 of a note that has three parts, a half of any other."""
    has_three_parts = any(abs(duration / value - 3) < 1e-6 for value in (0.125, 0.25, 0.5, 1, 2))
    return 2 / 3 if has_three_parts else 1 / 2


def _between(first: int, second: int, scale: frozenset[int]) -> int:
    """Choose the scale's note nearest the middle of an interval, else the step above it."""
    low, high = sorted((first, second))
    inside = [pitch for pitch in range(low + 1, high) if pitch % 12 in scale]
    if inside:
        return min(inside, key=lambda pitch: abs(2 * pitch - low - high))
    return next(pitch for pitch in range(high + 1, high + 13) if pitch % 12 in scale)


def _octave(rng: np.random.Generator) -> int:
    return int(rng.choice([-12, 12]))
