"""Read MIDI files."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import NamedTuple, TypeVar

import numpy as np

from melodex.errors import ScoreParseError
from melodex.model.key import Key, signature_of
from melodex.model.reading import Reading
from melodex.model.song import Song, Source
from melodex.parsing.midi.melody_track import melody_of, midi_lines
from melodex.parsing.midi.metre_map import metre_map
from melodex.parsing.midi.midi_chunks import SONG_EACH, chunks_of
from melodex.parsing.midi.midi_events import MidiTrack, track_of
from melodex.parsing.midi.note_lengths import as_fraction
from melodex.parsing.midi.piece_title import title_of
from melodex.parsing.midi.played_rhythm import QuantisedRhythm, quantised_rhythm
from melodex.parsing.midi.reading_remarks import choice_between, left_out
from melodex.parsing.midi.tempo_map import TempoMap
from melodex.parsing.tune_by_tune import read_tunes
from melodex.parsing.written_score import WrittenScore, song_of

# Bar lines need no finer grid: metres count at most 64ths.
_FINEST_BAR_LINE = Fraction(1, 16)  # quarter notes
_LONGEST = 40_000  # quarter notes: 10,000 measures of 4/4
_SLOWEST, _QUICKEST = 5, 1000  # quarter notes a minute; no music exceeds these. No source.

Value = TypeVar("Value")


def read_midi(content: bytes, file: str, collection: str) -> Reading:
    """Read a MIDI file: one song, or in format 2 one song a track.

    Parameters
    ----------
    content : bytes
        The file.
    file : str
        Its name, as shown by songs and failures.
    collection : str
        The name of the collection that the songs belong to.

    Raises
    ------
    ScoreParseError
        If the file is damaged, cut off, too long or invalid.

    Source
    ------
    Standard MIDI Files specification 1.0 (from memory).
    """
    shown = Path(file)
    chunks = chunks_of(content, shown)
    tracks = [
        track_of(events, number, shown) for number, events in enumerate(chunks.tracks, start=1)
    ]
    clock = _Clock.of(chunks.division)
    if chunks.format != SONG_EACH:
        return Reading((_song(tracks, clock, collection, Source(file)),), ())
    return read_tunes(
        (
            Source(file, str(number) if len(tracks) > 1 else ""),
            partial(_song, [track], clock, collection),
        )
        for number, track in enumerate(tracks, start=1)
    )


class _Clock(NamedTuple):
    """The time base that the header states."""

    ticks_a_quarter: float
    counts_seconds: bool  # if so, tempos have no effect

    @classmethod
    def of(cls, division: int) -> "_Clock":
        """Interpret the division; SMPTE frames are counted as if at 120 quarter notes a minute."""
        if division > 0:
            return cls(division, counts_seconds=False)
        frames, ticks = -(division >> 8), max(division & 0xFF, 1)
        # 29 means 30 frames a second, drop frame: 29.97.
        return cls((frames if frames != 29 else 30 / 1.001) * ticks / 2, counts_seconds=True)  # noqa: PLR2004

    def tempo_map(self, tempos: Mapping[int, int]) -> TempoMap:
        """Build the tempo map."""
        return TempoMap.of({} if self.counts_seconds else tempos, self.ticks_a_quarter)


def _song(tracks: Sequence[MidiTrack], clock: _Clock, collection: str, source: Source) -> Song:
    shown = Path(source.file)
    lines = midi_lines(tracks)
    pitched = [line for line in lines if not line.is_percussion]
    if not pitched:
        reason = "it has no notes with a pitch" + (", only percussion" if lines else "")
        raise ScoreParseError(shown, tune=source.tune, reason=reason)
    chosen = melody_of(pitched)
    if max(note.end for note in chosen.notes) > _LONGEST * clock.ticks_a_quarter:
        reason = "it is longer than 10,000 measures of four quarters"
        raise ScoreParseError(shown, tune=source.tune, reason=reason)
    tempos = _merged([track.tempos for track in tracks])
    rhythm = quantised_rhythm(chosen.notes, clock.tempo_map(tempos))
    end = max(note.onset + note.duration for note in rhythm.notes)
    metres = metre_map(_metre_onsets(tracks, rhythm, clock), as_fraction(end), shown)
    score = WrittenScore(
        notes=rhythm.notes,
        measures=metres.measures,
        end=end,
        metres=metres.metres,
        key=_key(_merged([track.keys for track in tracks])),
        tempo=rhythm.estimated_tempo or (None if clock.counts_seconds else _tempo(tempos)),
        remarks=[
            *choice_between(lines, chosen),
            *left_out(tracks),
            *rhythm.remarks,
            *metres.remarks,
        ],
    )
    return song_of(score, title_of(tracks), source, collection)


def _merged(by_tick: Sequence[Mapping[int, Value]]) -> dict[int, Value]:
    """Merge what several tracks state, by tick; at equal ticks the first track takes precedence."""
    return {tick: value for each in reversed(by_tick) for tick, value in each.items()}


def _metre_onsets(
    tracks: Sequence[MidiTrack], rhythm: QuantisedRhythm, clock: _Clock
) -> dict[Fraction, tuple[int, int]]:
    """Return time signatures by quarter note; rounded to whole ones if beats were estimated."""
    stated = sorted(_merged([track.metres for track in tracks]).items())
    step = _FINEST_BAR_LINE if rhythm.estimated_tempo is None else Fraction(1)
    # Later bar lines are beyond the longest music allowed.
    ticks = np.array([min(float(tick), 2 * _LONGEST * clock.ticks_a_quarter) for tick, _ in stated])
    onsets: list[float] = rhythm.quarters_at(ticks).tolist()
    return {
        max(round(onset / step), 0) * step: metre
        for onset, (_, metre) in zip(onsets, stated, strict=True)
    }


def _key(stated: Mapping[int, str]) -> Key | None:
    """Return the first key; mido names it "F#" or "F#m"."""
    if not stated:
        return None
    name = stated[min(stated)]
    tonic, mode = name.removesuffix("m"), "minor" if name.endswith("m") else "major"
    return Key(tonic, mode, signature_of(tonic, mode))


def _tempo(stated: Mapping[int, int]) -> float | None:
    """Return the first tempo in quarter notes a minute."""
    tempo = stated[min(stated)] if stated else 0
    a_minute = 60e6 / tempo if tempo else 0.0
    return round(a_minute, 3) if _SLOWEST <= a_minute <= _QUICKEST else None
