"""The moments of a song: notes that begin together, checked against the range of the neck."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain

from melodex.banjo.fretboard import range_of
from melodex.errors import MelodyError
from melodex.model.song import Song
from melodex.model.tablature import REACHED_BY_LEFT_HAND
from melodex.model.tuning import BanjoTuning

OCTAVE = 12
MOST_TOGETHER = 5  # one note a string
_FARTHEST = 5  # octaves; MIDI spans at most ten


@dataclass(frozen=True, slots=True)
class Moment:
    """Notes that begin together."""

    onset: float  # quarter notes from the start
    duration: float  # quarter notes
    measure: int
    pitches: tuple[int, ...]  # MIDI note numbers, highest first
    left_hands: tuple[str, ...] = ()  # for each pitch, as in ``TabNote``; empty if all are ""

    @property
    def struck(self) -> tuple[bool, ...]:
        """Whether the right hand strikes each pitch."""
        left_hands = self.left_hands or ("",) * len(self.pitches)
        return tuple(left_hand not in REACHED_BY_LEFT_HAND for left_hand in left_hands)


def moments_of(
    song: Song,
    tuning: BanjoTuning,
    *,
    octaves: int = 0,
    measures: tuple[int, int] | None = None,
) -> list[Moment]:
    """Return the moments of a song, or of some measures as written, transposed by whole octaves.

    Raises
    ------
    MelodyError
        If a note is off the neck, or more notes sound together than there are strings; the message
        names the measure and a remedy.
    """
    chosen = written_moments(song, octaves=octaves, measures=measures)
    _check(chosen, tuning, song.title, octaves)
    return chosen


def written_moments(
    song: Song, *, octaves: int = 0, measures: tuple[int, int] | None = None
) -> list[Moment]:
    """Return moments as ``moments_of`` does, even if they are off the neck."""
    melody, tones = song.melody, song.melody.chord_tones
    left_hands = {(touch.note, touch.string): touch.left_hand for touch in song.touches}
    together: list[list[tuple[int, str]]] = [[] for _ in range(len(melody))]
    for note, pitch, string in chain(
        zip(range(len(melody)), melody.pitches.tolist(), melody.strings.tolist(), strict=True),
        zip(tones.notes.tolist(), tones.pitches.tolist(), tones.strings.tolist(), strict=True),
    ):
        together[note].append((pitch + OCTAVE * octaves, left_hands.get((note, string), "")))
    moments = [
        _moment(onset, duration, measure, sounding)
        for onset, duration, measure, sounding in zip(
            melody.onsets.tolist(),
            melody.durations.tolist(),
            melody.measures.tolist(),
            together,
            strict=True,
        )
    ]
    return [
        moment
        for moment in moments
        if measures is None or measures[0] <= moment.measure <= measures[1]
    ]


def _moment(
    onset: float, duration: float, measure: int, sounding: Iterable[tuple[int, str]]
) -> Moment:
    pitches, left_hands = zip(*sorted(sounding, reverse=True), strict=True)
    return Moment(onset, duration, measure, pitches, left_hands if any(left_hands) else ())


def _check(moments: Sequence[Moment], tuning: BanjoTuning, title: str, octaves: int) -> None:
    lowest, highest = range_of(tuning)
    for moment in moments:
        if len(moment.pitches) > MOST_TOGETHER:
            raise MelodyError(
                f"Measure {moment.measure} of {title} has {len(moment.pitches)} notes together, "
                f"and a banjo has {MOST_TOGETHER} strings.",
                "leave notes out of that chord, and add the file again.",
            )
        below, above = lowest - min(moment.pitches), max(moment.pitches) - highest
        if below > 0 or above > 0:
            where = (
                f"{_half_steps(below)} below the fourth string"
                if below > 0
                else f"{_half_steps(above)} above the highest fret of the first string"
            )
            raise MelodyError(
                f"Measure {moment.measure} of {title} has a note {where}.",
                _advice(moments, lowest + OCTAVE * octaves, highest + OCTAVE * octaves),
            )


def _advice(moments: Iterable[Moment], lowest: int, highest: int) -> str:
    """Return advice: the smallest octave shift of the song that brings all notes onto the neck."""
    pitches = [pitch for moment in moments for pitch in moment.pitches]
    for octaves in sorted(range(-_FARTHEST, _FARTHEST + 1), key=abs):
        if min(pitches) + OCTAVE * octaves >= lowest and max(pitches) + OCTAVE * octaves <= highest:
            return f"move it by whole octaves: --octaves {octaves}."
    return (
        "no shift by octaves brings it onto the neck; choose another song, or measures with a "
        "smaller range: melodex tab SONG --measures A-B."
    )


def _half_steps(count: int) -> str:
    return f"{count} half-step{'s'[: count > 1]}"
