"""Divide a song and its tab into measures, ready for engraving."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.model.tablature import Tab, TabNote
from melodex.notation.metre_weights import MetreBeats, beats_of
from melodex.notation.tab_measures import MeasureSpan, exact
from melodex.notation.written_rhythm import TimeSpan, WrittenRhythm, written_rhythm

_PICKUP = 0
_OCTAVE = 12


class Head(NamedTuple):
    """One note head on a staff, or one fret in tab."""

    pitch: int
    note: int | None = None  # its index in the melody; None for accompanying notes
    on_string: TabNote | None = None


class Sound(NamedTuple):
    """Notes that begin together; they end no later than the next ones begin."""

    onset: Fraction
    end: Fraction
    heads: tuple[Head, ...]
    graces: tuple[int, ...] = ()  # pitches of grace notes before it


class EngravedMeasure(NamedTuple):
    """One measure, ready for engraving."""

    span: MeasureSpan
    place: Fraction  # its start, in quarter notes from the start of the full measure
    metre: Metre
    beats: MetreBeats
    is_second_part: bool  # whether it is the second part of a measure divided by a repeat

    def rhythm(self, sounds: Sequence[Sound]) -> WrittenRhythm:
        """Return the written rhythm of its sounds and the rests between them."""
        spans: list[TimeSpan] = []
        reached = self.span.onset
        first = bisect_left(sounds, self.span.onset, key=lambda sound: sound.end)
        for number, sound in enumerate(sounds[first:], first):
            if sound.onset >= self.span.end:
                break
            begin, end = max(sound.onset, self.span.onset), min(sound.end, self.span.end)
            if begin >= end:
                continue
            if begin > reached:
                spans.append(self._at(reached, begin, None))
            spans.append(self._at(begin, end, number))
            reached = end
        if reached < self.span.end:
            spans.append(self._at(reached, self.span.end, None))
        return written_rhythm(spans, self.beats)

    def _at(self, begin: Fraction, end: Fraction, sound: int | None) -> TimeSpan:
        moved = self.place - self.span.onset
        return TimeSpan(begin + moved, end + moved, sound)


def engraved_measures(song: Song, spans: Sequence[MeasureSpan]) -> list[EngravedMeasure]:
    """Return the metre of each measure, and the position in that metre where it begins."""
    changes = [(exact(change.onset), change.metre) for change in song.metre_changes]
    measures: list[EngravedMeasure] = []
    for span in spans:
        metre = [song.metre, *(metre for onset, metre in changes if onset <= span.onset)][-1]
        beats = beats_of(metre)
        before = measures[-1] if measures else None
        is_second_part = before is not None and before.span.number == span.number
        place = Fraction(0)
        if is_second_part and before is not None:
            place = before.place + before.span.length
        elif span.number == _PICKUP and span.length < beats.length:
            place = beats.length - span.length
        measures.append(EngravedMeasure(span, place, metre, beats, is_second_part))
    return measures


def melody_sounds(song: Song, begin: Fraction, end: Fraction, *, octaves: int = 0) -> list[Sound]:
    """Return the melody between two bar lines, with chord tones and grace notes.

    Parameters
    ----------
    octaves : int
        Octaves to transpose it by.
    """
    melody = song.melody
    tones, graces = (
        _attached(each.notes.tolist(), (each.pitches + _OCTAVE * octaves).tolist())
        for each in (melody.chord_tones, melody.grace_notes)
    )
    sounds = [
        Sound(
            exact(onset),
            exact(onset + duration),
            (Head(pitch, note), *(Head(tone) for tone in tones.get(note, []) if tone != pitch)),
            tuple(graces.get(note, [])),
        )
        for note, (pitch, onset, duration) in enumerate(
            zip(
                (melody.pitches + _OCTAVE * octaves).tolist(),
                melody.onsets.tolist(),
                melody.durations.tolist(),
                strict=True,
            )
        )
    ]
    return _within(sounds, begin, end)


def tab_sounds(tab: Tab, begin: Fraction, end: Fraction) -> list[Sound]:
    """Return the notes of a tab between two bar lines, grouped by onset."""
    sounds: list[Sound] = []
    for onset, group in groupby(tab.notes, key=lambda note: note.onset):
        together = list(group)
        longest = max(note.duration for note in together)
        heads = tuple(Head(tab.pitch(note), None, note) for note in together)
        sounds.append(Sound(exact(onset), exact(onset + longest), heads))
    return _within(sounds, begin, end)


def _attached(notes: Iterable[int], pitches: Iterable[int]) -> dict[int, list[int]]:
    attached: dict[int, list[int]] = {}
    for note, pitch in zip(notes, pitches, strict=True):
        attached.setdefault(note, []).append(pitch)
    return attached


def _within(sounds: Sequence[Sound], begin: Fraction, end: Fraction) -> list[Sound]:
    """Cut sounds at the excerpt's bar lines, and each where the next begins."""
    following = [*(sound.onset for sound in sounds[1:]), end]
    cut = [
        sound._replace(onset=max(sound.onset, begin), end=min(sound.end, next_onset, end))
        for sound, next_onset in zip(sounds, following, strict=True)
    ]
    return [sound for sound in cut if sound.onset < sound.end]
