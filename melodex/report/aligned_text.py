"""Write two matched melodies in plain characters, one above the other."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from melodex.model.lick import Lick
from melodex.model.song import Song
from melodex.notation.note_names import note_name

NOTHING = "-"  # in place of a note without a match
# The rows from top to bottom: the content of each, and its heading.
_LICK_AND_SONG = {"measure_below": "measure", "above": "lick", "below": "song", "word": ""}
_TWO_SONGS = {
    "measure_above": "measure",
    "above": "first",
    "below": "second",
    "measure_below": "measure",
    "word": "",
}


@dataclass(frozen=True, slots=True)
class _Column:
    """One moment: matched notes or a single note, and how they differ."""

    measure_above: str
    above: str
    below: str
    measure_below: str
    word: str

    def cells(self, rows: Mapping[str, str]) -> list[str]:
        return [getattr(self, row) for row in rows]


def aligned_lines(
    above: Lick | Song,
    below: Song,
    alignment: Sequence[tuple[int, int]],
    *,
    transposition: int,
    width: int = 76,
) -> list[str]:
    """Return the notes of a lick, or of a passage of a song, above the notes of a matching song.

    Differences are described below: "2 higher", "added", "left out", "split", "joined". Each melody
    is written in its own key; a note counts as different if it still differs after transposition.

    Parameters
    ----------
    alignment : pairs of note numbers
        (note of the lick or song above, note of the song below), indices as written, in the order
        played.
    transposition : int
        Half-steps from the melody above to the one below, up is positive.
    width : int
        Characters in a line.
    """
    rows = _TWO_SONGS if isinstance(above, Song) else _LICK_AND_SONG
    columns = list(_columns(above, below, alignment, transposition))
    lines: list[str] = []
    while columns:
        taken = _columns_that_fit(columns, rows, width)
        lines += _written(columns[:taken], rows)
        columns = columns[taken:]
    return lines


def _columns(
    above: Lick | Song, below: Song, alignment: Sequence[tuple[int, int]], transposition: int
) -> Iterator[_Column]:
    notes_above, notes_below = _NamedNotes(above), _NamedNotes(below)
    before: tuple[int, int] | None = None
    for wanted, found in alignment:
        if before is not None:
            for missed in range(before[0] + 1, wanted):
                measure = notes_above.measure(missed)
                yield _Column(measure, notes_above.name(missed), NOTHING, "", "left out")
            for added in range(before[1] + 1, found):
                measure = notes_below.measure(added)
                yield _Column("", NOTHING, notes_below.name(added), measure, "added")
        split = before is not None and before[0] == wanted
        joined = before is not None and before[1] == found
        difference = notes_below.pitch(found) - notes_above.pitch(wanted) - transposition
        words = [word for word, so in (("split", split), ("joined", joined)) if so]
        yield _Column(
            notes_above.measure(wanted),
            NOTHING if split else notes_above.name(wanted),
            NOTHING if joined else notes_below.name(found),
            notes_below.measure(found),
            " ".join([*words, _difference_in_words(difference)]).strip(),
        )
        before = wanted, found


class _NamedNotes:
    """Returns the names of notes in order, and each measure when it is entered."""

    def __init__(self, source: Lick | Song) -> None:
        self._melody = source.melody
        self._key = source.key if isinstance(source, Song) else None
        self._last: int | None = None

    def pitch(self, note: int) -> int:
        return int(self._melody.pitches[note])

    def name(self, note: int) -> str:
        return note_name(self.pitch(note), self._key)

    def measure(self, note: int) -> str:
        measure = int(self._melody.measures[note])
        entered, self._last = measure != self._last, measure
        return str(measure) if entered else ""


def _difference_in_words(half_steps: int) -> str:
    if half_steps == 0:
        return ""
    return f"{abs(half_steps)} {'higher' if half_steps > 0 else 'lower'}"


def _widths(columns: Sequence[_Column], rows: Mapping[str, str]) -> list[int]:
    return [max(map(len, column.cells(rows))) + 1 for column in columns]


def _columns_that_fit(columns: Sequence[_Column], rows: Mapping[str, str], width: int) -> int:
    """Return how many columns fit on a line, at least one."""
    used, taken = max(map(len, rows.values())) + 1, 0
    for column_width in _widths(columns, rows):
        used += column_width
        if used > width and taken:
            break
        taken += 1
    return taken


def _written(columns: Sequence[_Column], rows: Mapping[str, str]) -> list[str]:
    heading_width = max(map(len, rows.values())) + 1
    lines: list[str] = []
    cells_of_columns = [column.cells(rows) for column in columns]
    for heading, cells in zip(rows.values(), zip(*cells_of_columns, strict=True), strict=True):
        text = heading.ljust(heading_width) + "".join(
            cell.ljust(width) for cell, width in zip(cells, _widths(columns, rows), strict=True)
        )
        lines.append(text.rstrip())
    return [line for line in lines if line]
