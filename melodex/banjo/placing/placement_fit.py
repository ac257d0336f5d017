"""Rate how well a lick fits a window of a song, and choose the transposition."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.line_scores import WrittenLine, line_scores
from melodex.banjo.fretboard import range_of
from melodex.banjo.moments import OCTAVE
from melodex.banjo.placing.lick_chords import chords_at, chords_over, is_dominant, last_tonic
from melodex.banjo.placing.lick_metre import LickInMetre
from melodex.banjo.placing.lick_sounds import drones_of, pitches_that_move
from melodex.banjo.placing.lick_windows import LickWindow
from melodex.errors import MelodyError
from melodex.features.chords import chord_tones
from melodex.features.key_finding import find_key
from melodex.features.skeleton import carries_melody, sounds_rolled
from melodex.model.key import signature_of
from melodex.model.results.placement import LickFit
from melodex.model.song import ChordSymbol, Song
from melodex.model.tuning import BanjoTuning
from melodex.parsing.measures import ROUNDING

FARTHEST_FROM_REGISTER = 9  # half-steps that a lick may be above or below its surroundings
HELD_AFTER = 1.0  # quarter notes; a longer note leaves room for a fill after this
OVER_OWN_CHORD = 0.8  # share of a lick that must be over its own chord for it to count
UNKNOWN_CHORD = 0.5  # weight of a note without a known chord
WIDEST_JOIN = 5  # half-steps, a fourth; wider leaps are noticeable. Common practice, no source.
_NATURALS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class FitWeights:
    """Weights of the criteria; those of shares add up to 1. Common practice, no source.

    ``tests/integration/test_placed_licks.py`` measures how well they work.
    """

    chord_notes: float = 0.4
    own_chord: float = 0.1
    key_notes: float = 0.1
    stands_for: float = 0.25  # for the larger of room and likeness
    joins: float = 0.15
    hand_leap: float = 0.05  # penalty for each end of the lick at which the hand must leap
    moved: float = 0.05  # penalty if the lick is transposed, and so leaves its place on the neck
    passes_own_chord: float = 0.18  # additional penalty if it could be over its own chord
    refingering: float = 0.05  # penalty if a lick from tab leaves its own strings
    strain: float = 0.05  # penalty if the hand would strain
    same_finger: float = 0.25  # penalty if a finger plays twice in a row


FIT_WEIGHTS = FitWeights()


def fit_of(fit: LickFit, weights: FitWeights = FIT_WEIGHTS) -> float:
    """Return the overall fit, 0 to 1."""
    joins = (_joins(fit.leap_in) + _joins(fit.leap_out)) / 2
    for_it = (
        weights.chord_notes * fit.chord_notes
        + weights.own_chord * fit.own_chord
        + weights.key_notes * fit.key_notes
        + weights.stands_for * max(fit.room, fit.likeness)
        + weights.joins * joins
    )
    against_it = (
        weights.hand_leap * ((fit.hand_in > 0) + (fit.hand_out > 0))
        + weights.moved * (fit.transposition != 0)
        + weights.passes_own_chord * fit.passes_own_chord
        + weights.refingering * (fit.hands_kept == "drone at most")
        + weights.strain * fit.strains
        + weights.same_finger * fit.finger_twice
    )
    return max(0.0, for_it - against_it)


def _joins(leap: int | None) -> float:
    if leap is None:
        return 1.0
    return 1 - min(max(abs(leap) - WIDEST_JOIN, 0) / OCTAVE, 1)


class LickInSong:
    """Rates the windows of one song for one lick."""

    def __init__(
        self,
        song: Song,
        chords: Sequence[ChordSymbol],
        counted: LickInMetre,
        tuning: BanjoTuning,
        windows: Sequence[LickWindow],
    ) -> None:
        lick, given = counted.lick, counted.given
        self._melody = song.melody
        self._in_a_roll = self._melody_in_a_roll()
        self._lick = lick.melody
        drones = drones_of(lick)
        self._counts = 1.0 * ~drones if not drones.all() else np.ones(len(drones))
        self._moving = pitches_that_move(lick) if not drones.all() else self._lick.pitches
        self._chords = chords
        self._chord_begins = np.array([chord.onset for chord in chords], np.float64)
        self._chord_tones: list[frozenset[int] | None] = [None]
        self._chord_tones += [chord_tones(chord.text) for chord in chords]
        # Inferred from the measures of the original lick: half a measure may lack the chord's
        # seventh.
        self._own_chords = chords_over(
            given, self._counts * given.melody.durations * (0.5 + given.melody.beat_strengths)
        )
        self._last_tonic = last_tonic(song, chords)
        self._scale = _scale_of(song)
        self._lowest, self._highest = range_of(tuning)
        self._check_range()
        self._can_stand_on_own_chord = any(
            self._share_over_own_chord(window)[0] >= OVER_OWN_CHORD for window in windows
        )

    def best_fit(self, window: LickWindow) -> LickFit:
        """Rate a window at every transposition near its register, and return the best.

        Among equal ones, the smallest transposition is chosen.
        """
        register = self._register(window)
        shifts = range(register - FARTHEST_FROM_REGISTER, register + FARTHEST_FROM_REGISTER + 1)
        weights = self._weights(window)
        likeness = self._likeness(window, shifts)
        on_chords = self._share_of_chord_notes(window, weights)
        over_own = self._share_over_own_chord(window)
        in_key = self._scale @ _by_pitch_class(self._lick.pitches, weights)
        room, (before, after) = self._room(window), self._neighbours(window)
        first, last = self._lick.pitches[self._counts > 0][[0, -1]].tolist()
        fits: list[LickFit] = []
        for shift, alike in zip(shifts, likeness, strict=True):
            octaves = self._onto_the_neck(shift)
            placed = shift + OCTAVE * octaves
            fits.append(
                LickFit(
                    chord_notes=float(on_chords[shift % OCTAVE]),
                    key_notes=float(in_key[shift % OCTAVE]),
                    room=room,
                    likeness=alike,
                    leap_in=_leap(before, first + placed),
                    leap_out=_leap(last + placed, after),
                    hand_in=0,
                    hand_out=0,
                    transposition=placed,
                    octaves=octaves,
                    own_chord=float(over_own[shift % OCTAVE]),
                    passes_own_chord=bool(shift % OCTAVE) and self._can_stand_on_own_chord,
                )
            )
        return max(fits, key=lambda fit: (fit_of(fit), -abs(fit.transposition)))

    def leaves_the_end_open(self, window: LickWindow) -> bool:
        """Return whether a dominant seventh of the lick would sound over the song's final tonic."""
        over_it = window.onsets + self._lick.durations > self._last_tonic + ROUNDING
        return any(is_dominant(self._own_chords[note]) for note in np.flatnonzero(over_it).tolist())

    def _check_range(self) -> None:
        spans = int(self._moving.max() - self._moving.min())
        if spans > self._highest - self._lowest:
            raise MelodyError(
                f"The lick spans {spans} half-steps, and the neck has "
                f"{self._highest - self._lowest}.",
                "give a part of it with a smaller range.",
            )

    def _onto_the_neck(self, shift: int) -> int:
        """Return the octaves that bring the lick onto the neck; 0 if it is on it."""
        below = self._lowest - (int(self._moving.min()) + shift)
        above = int(self._moving.max()) + shift - self._highest
        return max(-(-below // OCTAVE), 0) - max(-(-above // OCTAVE), 0)

    def _register(self, window: LickWindow) -> int:
        """Return the half-steps from the lick's middle to that of the song around a window."""
        around = window.end - window.begin
        near = self._between(window.begin - around, window.end + around)
        pitches = self._melody.pitches[near] if near.any() else self._melody.pitches
        return round(float(pitches.mean() - self._lick.pitches.mean()))

    def _between(self, begin: float, end: float) -> NDArray[np.bool_]:
        onsets = self._melody.onsets
        inside: NDArray[np.bool_] = (onsets >= begin - ROUNDING) & (onsets < end - ROUNDING)
        return inside

    def _likeness(self, window: LickWindow, shifts: range) -> list[float]:
        here = self._between(window.begin, window.end)
        alike = self._likeness_of(here, window, shifts)
        if self._in_a_roll.any():
            inside = self._likeness_of(here & self._in_a_roll, window, shifts)
            alike = np.maximum(alike, inside)
        likeness: list[float] = alike.tolist()
        return likeness

    def _melody_in_a_roll(self) -> NDArray[np.bool_]:
        """Return which notes of a rolled song carry its melody; none if it is not rolled."""
        if not sounds_rolled(self._melody):
            return np.zeros(len(self._melody), np.bool_)
        return carries_melody(self._melody.beat_strengths, self._melody.strings)

    def _likeness_of(
        self, here: NDArray[np.bool_], window: LickWindow, shifts: range
    ) -> NDArray[np.float64]:
        """Return the likeness to some of the song's notes at each shift; shape of shifts."""
        melody = self._melody
        if not here.any():
            return np.zeros(len(shifts))
        scores = line_scores(
            WrittenLine(self._lick.pitches, window.strengths, self._lick.durations),
            WrittenLine(melody.pitches[here], melody.beat_strengths[here], melody.durations[here]),
            shifts,
        )
        share: NDArray[np.float64] = np.clip(scores, 0, None)
        return share

    def _share_of_chord_notes(
        self, window: LickWindow, weights: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return the share of chord notes at each transposition, shape (12,)."""
        shares = np.zeros(OCTAVE)
        sounding: list[int] = np.searchsorted(
            self._chord_begins, window.onsets + ROUNDING, side="right"
        ).tolist()
        for pitch, weight, chord in zip(self._lick.pitches, weights, sounding, strict=True):
            tones = self._chord_tones[chord]
            if tones is None:
                shares += weight * UNKNOWN_CHORD
            else:
                shares[[(tone - int(pitch)) % OCTAVE for tone in tones]] += weight
        share: NDArray[np.float64] = shares / weights.sum()
        return share

    def _weights(self, window: LickWindow) -> NDArray[np.float64]:
        """Return the weight of each note of the lick, by length and beat; 0 for a drone."""
        return self._counts * self._lick.durations * (0.5 + window.strengths)

    def _share_over_own_chord(self, window: LickWindow) -> NDArray[np.float64]:
        """Return the share over the lick's own chord, moved with it, by transposition (12,)."""
        weights = self._weights(window)
        shares = np.zeros(OCTAVE)
        sounding = chords_at(self._chords, window.onsets)
        for weight, own, chord in zip(weights, self._own_chords, sounding, strict=True):
            if own is None or chord is None:
                shares += weight * UNKNOWN_CHORD
            elif own.is_minor == chord.is_minor:
                shares[(chord.root - own.root) % OCTAVE] += weight
        share: NDArray[np.float64] = shares / weights.sum()
        return share

    def _room(self, window: LickWindow) -> float:
        """Return the share of a window in which the song rests, or holds or repeats a note."""
        melody = self._melody
        is_new = np.diff(melody.pitches, prepend=-1) != 0
        moving = np.where(is_new, np.minimum(melody.durations, HELD_AFTER), 0.0)
        begins = np.maximum(melody.onsets, window.begin)
        ends = np.minimum(melody.onsets + moving, window.end)
        busy = float(np.maximum(ends - begins, 0).sum())
        return max(0.0, 1 - busy / (window.end - window.begin))

    def _neighbours(self, window: LickWindow) -> tuple[int | None, int | None]:
        """Return the pitches of the song's notes before and after a window."""
        onsets, pitches = self._melody.onsets, self._melody.pitches
        before = pitches[onsets < window.begin - ROUNDING]
        after = pitches[onsets >= window.end - ROUNDING]
        return (
            int(before[-1]) if len(before) else None,
            int(after[0]) if len(after) else None,
        )


def _leap(one: int | None, other: int | None) -> int | None:
    return None if one is None or other is None else other - one


def _by_pitch_class(
    pitches: NDArray[np.int16], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the weight of each pitch class as a share, shape (12,)."""
    shares = np.zeros(OCTAVE)
    np.add.at(shares, pitches % OCTAVE, weights)
    share: NDArray[np.float64] = shares / weights.sum()
    return share


def _scale_of(song: Song) -> NDArray[np.float64]:
    """Return at [t, p] whether pitch class p is in the song's scale when transposed up by t."""
    signature = song.key.signature if song.key is not None else _estimated_signature(song)
    altered = dict(signature)
    scale = np.zeros(OCTAVE)
    scale[
        [(natural + altered.get(letter, 0)) % OCTAVE for letter, natural in _NATURALS.items()]
    ] = 1
    return np.array([np.roll(scale, -shift) for shift in range(OCTAVE)])


def _estimated_signature(song: Song) -> tuple[tuple[str, int], ...]:
    found = find_key(song.melody)
    name = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    return signature_of(name[found.tonic_pitch_class], found.mode)
