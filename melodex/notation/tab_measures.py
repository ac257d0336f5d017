"""The measures of a song or tab, with their notes, for writers of notation."""

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from melodex.errors import QueryError
from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.model.tablature import Tab, TabNote

# Onsets are sums of tuplet fractions stored in binary; this grid distinguishes all in use.
FINEST = 960  # parts of a quarter note


class MeasureSpan(NamedTuple):
    """The stretch between two bar lines; times in quarter notes from the start of the music."""

    number: int  # as written; a pickup is 0
    onset: Fraction
    end: Fraction

    @property
    def length(self) -> Fraction:
        """Its length in quarter notes."""
        return self.end - self.onset


def metre_at(song: Song, onset: Fraction) -> Metre:
    """Return the metre at a position, in quarter notes from the start of the music."""
    held = [change.metre for change in song.metre_changes if exact(change.onset) <= onset]
    return held[-1] if held else song.metre


class TabMeasure(NamedTuple):
    """A measure and its notes; times in quarter notes from the start of the music."""

    number: int  # as written; a pickup is 0
    onset: Fraction
    end: Fraction
    notes: tuple[TabNote, ...]  # those that begin in it


@lru_cache(maxsize=10_000)  # songs have few different times, and a page asks for each often
def exact(quarter_notes: float) -> Fraction:
    """Return the exact fraction that a rounded time stands for."""
    return Fraction(quarter_notes).limit_denominator(FINEST)


def measures_of_tab(tab: Tab, measures: tuple[int, int] | None = None) -> list[TabMeasure]:
    """Divide a tab into measures.

    Parameters
    ----------
    measures : (int, int) or None
        First and last number as written; None for all.

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    last_sound = max((note.onset + note.duration for note in tab.notes), default=0.0)
    return [
        TabMeasure(*span, _notes_between(tab, span.onset, span.end))
        for span in measure_spans(tab.song, last_sound, measures)
    ]


def measure_spans(
    song: Song, last_sound: float, measures: tuple[int, int] | None = None
) -> list[MeasureSpan]:
    """Return where measures begin and end; the last ends with the last sound or later.

    Parameters
    ----------
    last_sound : float
        When the last sound ends, in quarter notes.
    measures : (int, int) or None
        First and last number as written; None for all.

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    onsets = [exact(onset) for onset in song.measures.onsets.tolist()]
    ends = [*onsets[1:], max(exact(last_sound), exact(float(song.sections.max(initial=0.0))))]
    numbers = song.measures.numbers.tolist()
    first, last = measures or (min(numbers), max(numbers))
    chosen = [
        MeasureSpan(number, onset, end)
        for number, onset, end in zip(numbers, onsets, ends, strict=True)
        if first <= number <= last
    ]
    if not chosen:
        raise QueryError(
            f"{song.title} has no measures {first} to {last}.",
            f"choose from measures {min(numbers)} to {max(numbers)}.",
        )
    return chosen


def _notes_between(tab: Tab, onset: Fraction, end: Fraction) -> tuple[TabNote, ...]:
    return tuple(note for note in tab.notes if onset <= exact(note.onset) < end)
