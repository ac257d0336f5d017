"""Two melodies one above the other, note answering note, in plain characters."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from melodex._types import Measures
from melodex.model.key import Key
from melodex.model.lick import Lick
from melodex.model.song import Song

SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
NOTHING = "-"  # stands where a note has no answer
_HEADINGS = ("measure", "lick", "song", "")


@dataclass(frozen=True, slots=True)
class _Column:
    """One moment: a note of either melody or of both, and what sets them apart."""

    measure: str
    lick: str
    song: str
    word: str

    @property
    def cells(self) -> tuple[str, str, str, str]:
        return self.measure, self.lick, self.song, self.word


def note_name(pitch: int, key: Key | None = None) -> str:
    """Name a MIDI note, C4 = 60; with flats where the key's signature has them.

    Examples
    --------
    >>> note_name(61), note_name(67)
    ('C#4', 'G4')
    """
    flat = key is not None and any(shift < 0 for _, shift in key.signature)
    names = FLAT_NAMES if flat else SHARP_NAMES
    return f"{names[pitch % 12]}{pitch // 12 - 1}"


def aligned_lines(
    lick: Lick,
    song: Song,
    alignment: Sequence[tuple[int, int]],
    *,
    transposition: int,
    width: int = 76,
) -> list[str]:
    """Write a lick above the notes of a song that answer it.

    What differs is told in words below: "2 higher", "added", "left out", "split", "joined". The
    lick stands in its own key, the song in its own; a note counts as different when it is so after
    transposition.

    Parameters
    ----------
    alignment : pairs of note numbers
        (note of the lick, note of the song as written), in the order played.
    transposition : int
        Half-steps from the lick up to the song.
    width : int
        Characters a line.
    """
    columns = list(_columns(lick, song, alignment, transposition))
    lines: list[str] = []
    while columns:
        taken = _that_fit(columns, width)
        lines += _rows(columns[:taken])
        columns = columns[taken:]
    return lines


def _columns(
    lick: Lick, song: Song, alignment: Sequence[tuple[int, int]], transposition: int
) -> Iterator[_Column]:
    lick_notes, song_notes = lick.melody.pitches, song.melody.pitches
    measures = _MeasureNames(song.melody.measures)
    before: tuple[int, int] | None = None
    for wanted, found in alignment:
        if before is not None:
            for missed in range(before[0] + 1, wanted):
                yield _Column("", note_name(lick_notes[missed]), NOTHING, "left out")
            for added in range(before[1] + 1, found):
                name = note_name(song_notes[added], song.key)
                yield _Column(measures.name(added), NOTHING, name, "added")
        split = before is not None and before[0] == wanted
        joined = before is not None and before[1] == found
        difference = int(song_notes[found]) - int(lick_notes[wanted]) - transposition
        words = [word for word, so in (("split", split), ("joined", joined)) if so]
        yield _Column(
            measures.name(found),
            NOTHING if split else note_name(lick_notes[wanted]),
            NOTHING if joined else note_name(song_notes[found], song.key),
            " ".join([*words, _difference_in_words(difference)]).strip(),
        )
        before = wanted, found


class _MeasureNames:
    """Names a measure when it is entered, and nothing within it."""

    def __init__(self, measures: Measures) -> None:
        self._measures = measures
        self._last: int | None = None

    def name(self, note: int) -> str:
        measure = int(self._measures[note])
        entered, self._last = measure != self._last, measure
        return str(measure) if entered else ""


def _difference_in_words(half_steps: int) -> str:
    if half_steps == 0:
        return ""
    return f"{abs(half_steps)} {'higher' if half_steps > 0 else 'lower'}"


def _widths(columns: Sequence[_Column]) -> list[int]:
    return [max(map(len, column.cells)) + 1 for column in columns]


def _that_fit(columns: Sequence[_Column], width: int) -> int:
    """Count the columns that fit on a line, one at least."""
    used, taken = max(map(len, _HEADINGS)) + 1, 0
    for column_width in _widths(columns):
        used += column_width
        if used > width and taken:
            break
        taken += 1
    return taken


def _rows(columns: Sequence[_Column]) -> list[str]:
    heading_width = max(map(len, _HEADINGS)) + 1
    rows: list[str] = []
    for heading, cells in zip(
        _HEADINGS, zip(*(c.cells for c in columns), strict=True), strict=True
    ):
        text = heading.ljust(heading_width) + "".join(
            cell.ljust(width) for cell, width in zip(cells, _widths(columns), strict=True)
        )
        rows.append(text.rstrip())
    return [row for row in rows if row]
