"""What is to sound, moment by moment: melody notes, and the slots that are free between them."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from melodex.banjo.arranger.roll_slots import SlottedMeasure
from melodex.features.chords import chord_tones
from melodex.model.song import ChordSymbol, Song
from melodex.parsing.measures import ROUNDING

WIDEST_SLUR = 2  # half-steps: the melody moves by step


@dataclass(frozen=True, slots=True)
class StrokeMoment:
    """A melody note, or a slot to fill."""

    onset: float  # quarter notes from the start of the music
    measure: int  # its place in the list of measures
    place: int | None  # the slot; None for a melody note between slots
    pitch: int | None  # MIDI pitch of the melody note that begins here
    sounding: int | None  # of the melody note that began last
    tones: frozenset[int]  # pitch classes of the chord that sounds; empty where none is known
    may_slur: bool  # the melody steps here from the slot before onto a stronger beat
    is_last_pinch: bool = False  # the pinch that closes the tune


def stroke_moments(
    song: Song, measures: Sequence[SlottedMeasure], chords: Sequence[ChordSymbol]
) -> list[StrokeMoment]:
    """List melody notes and free slots in the order of time.

    A slot is free where it keeps its measure's clearance from any melody note, from the first
    melody note to the last measure's end; from the start where whole measures lie before the first
    melody note.
    """
    melody = song.melody
    onsets: list[float] = melody.onsets.tolist()
    pitches: list[int] = melody.pitches.tolist()
    starts = [measure.onset - ROUNDING for measure in measures]
    is_led_into = len(measures) > 1 and onsets[0] > starts[1]
    times: list[tuple[float, int, int | None, int | None]] = []  # onset, measure, place, note
    for note, onset in enumerate(onsets):
        number = bisect_right(starts, onset) - 1
        times.append((onset, number, _place_of(onset, measures[number]), note))
    for number, measure in enumerate(measures):
        times += (
            (slot.onset, number, slot.place, None)
            for slot in measure.slots
            if (is_led_into or slot.onset > onsets[0])
            and _is_free(slot.onset, onsets, measure.clearance)
        )
    times.sort(key=lambda each: each[0])
    slurs = _slurs(song, measures, starts)
    begins = [chord.onset - ROUNDING for chord in chords]
    tones = [chord_tones(chord.text) or frozenset() for chord in chords]
    moments: list[StrokeMoment] = []
    sounding: int | None = None
    for onset, number, place, begun in times:
        pitch = None if begun is None else pitches[begun]
        sounding = sounding if pitch is None else pitch
        held = bisect_right(begins, onset) - 1
        moments.append(
            StrokeMoment(
                onset,
                number,
                place,
                pitch,
                sounding,
                tones[held] if held >= 0 else frozenset(),
                begun in slurs,
            )
        )
    return moments


def _place_of(onset: float, measure: SlottedMeasure) -> int | None:
    return next((s.place for s in measure.slots if abs(s.onset - onset) < ROUNDING), None)


def _is_free(onset: float, melody: Sequence[float], clearance: float) -> bool:
    after = bisect_right(melody, onset)
    clear = clearance - ROUNDING
    return all(abs(note - onset) > clear for note in melody[max(after - 1, 0) : after + 1])


def _slurs(song: Song, measures: Sequence[SlottedMeasure], starts: Sequence[float]) -> set[int]:
    """Return the notes that the melody reaches by step, from a weaker one a slot before."""
    melody = song.melody
    slurs: set[int] = set()
    for note in range(1, len(melody)):
        step = abs(int(melody.pitches[note]) - int(melody.pitches[note - 1]))
        gap = float(melody.onsets[note] - melody.onsets[note - 1])
        slot = measures[bisect_right(starts, float(melody.onsets[note])) - 1].slot_length
        grows = melody.beat_strengths[note] > melody.beat_strengths[note - 1]
        if 0 < step <= WIDEST_SLUR and gap <= slot + ROUNDING and grows:
            slurs.add(note)
    return slurs
