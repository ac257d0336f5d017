"""The time layout of an ABC voice in quarter notes: bar lines, metres, measures."""

from typing import NamedTuple

from melodex.model.song import MetreChange
from melodex.parsing.abc.abc_bars import BarLines, read_bar_lines
from melodex.parsing.abc.abc_rhythm import TICKS_OF_QUARTER
from melodex.parsing.abc.abc_voice import VoiceReader
from melodex.parsing.measures import MeasureList, list_measures


class Layout(NamedTuple):
    """Bar lines, metres and measures of a voice."""

    bars: BarLines
    metres: list[MetreChange]
    measures: MeasureList
    end: float  # length of the music


def quarters(ticks: int) -> float:
    """Convert ticks to quarter notes."""
    return ticks / TICKS_OF_QUARTER


def layout_of(voice: VoiceReader) -> Layout:
    """Return the layout of a voice that has been read completely."""
    return _layout(voice, quarters(voice.time))


def measure_reached(voice: VoiceReader) -> int:
    """Return the number of the measure that the next note will belong to."""
    just_after = quarters(voice.time + 1)
    return _layout(voice, just_after).measures.numbers[-1]


def _layout(voice: VoiceReader, end: float) -> Layout:
    bars = read_bar_lines((quarters(onset), bar) for onset, bar in voice.bars)
    metres = [MetreChange(quarters(onset), metre) for onset, metre in voice.metres]
    return Layout(bars, metres, list_measures(bars.onsets, end, metres, bars.seams), end)
