"""Recurring licks for people: each with its notes, rhythm, tab, chords and places."""

from collections.abc import Sequence
from dataclasses import asdict
from itertools import groupby

from melodex.cli.terminal import counted, print_lines
from melodex.model.results.recurring import LickOccurrence, RecurringLick
from melodex.notation.measure_names import measures_listed

SONGS_SHOWN = 6
_HEADING = 9  # characters before the notes
_NOTES_WIDTH = 66  # characters of notes a line; with heading and indent they fit into 80


def print_licks(licks: Sequence[RecurringLick]) -> None:
    """Print each lick as a paragraph, numbered."""
    for number, lick in enumerate(licks, start=1):
        _print_lick(number, lick)


def _print_lick(number: int, lick: RecurringLick) -> None:
    places = counted(len(lick.occurrences), "place")
    versions = f" of {counted(lick.tunes, 'tune')}" if lick.tunes < lick.songs else ""
    print_lines(f"{number}. {lick.name}: {places} in {counted(lick.songs, 'song')}{versions}")
    estimated = " (estimated)" if lick.chords_estimated else ""
    chords = " ".join(lick.chords) or "unknown"
    print_lines(f"   in {lick.key}, {_span_in_words(lick)}; chords {chords}{estimated}")
    for line in _note_lines(lick):
        print_lines(f"   {line}")
    for line in (lick.tab or "").splitlines():
        print_lines(f"   {line}" if line else "")
    print_lines("", f"   {_places_in_words(lick.occurrences)}", "")


def _span_in_words(lick: RecurringLick) -> str:
    """Return the measures and beats from which to which a lick lasts."""
    if lick.first_beat is None or lick.last_beat is None:
        return counted(lick.measures, "measure")
    end = "" if lick.last_measure == lick.first_measure else f" of measure {lick.last_measure}"
    begin = f"beat {lick.first_beat:g} of measure {lick.first_measure}"
    return f"{begin} to beat {lick.last_beat:g}{end}"


def _note_lines(lick: RecurringLick) -> list[str]:
    """Return degrees, notes and rhythm as aligned lines."""
    rows = {"degrees": lick.degrees, "notes": lick.notes, "rhythm": lick.rhythm}
    widths = [max(map(len, cells)) for cells in zip(*rows.values(), strict=True)]
    lines: list[str] = []
    for first, end in _that_fit(widths):
        for heading, cells in rows.items():
            part = zip(cells[first:end], widths[first:end], strict=True)
            words = " ".join(cell.ljust(width) for cell, width in part)
            lines.append(f"{heading:<{_HEADING}}{words}".rstrip())
    return lines


def _that_fit(widths: Sequence[int]) -> list[tuple[int, int]]:
    """Divide columns into runs that fit a line; each as its first column and its end."""
    runs: list[tuple[int, int]] = []
    first, used = 0, 0
    for column, width in enumerate(widths):
        if column > first and used + width > _NOTES_WIDTH:
            runs.append((first, column))
            first, used = column, 0
        used += width + 1
    return [*runs, (first, len(widths))]


def csv_rows(licks: Sequence[RecurringLick]) -> list[dict[str, object]]:
    """Return one row a lick for a spreadsheet, its places as song:first-last."""
    rows: list[dict[str, object]] = [asdict(lick) for lick in licks]
    for row, lick in zip(rows, licks, strict=True):
        row["occurrences"] = [
            f"{place.song}:{place.first_measure}-{place.last_measure}" for place in lick.occurrences
        ]
    return rows


def why_no_lick(songs: int, chord: str | None) -> str:
    """Return a sentence on why songs, one or more, have no recurring lick."""
    if songs == 1:
        return "There is only one song, and a lick recurs in two tunes or more."
    over = "" if chord is None else f" over {chord}"
    return f"No two of these {songs} songs share a lick{over} that is more than coincidence."


def _places_in_words(occurrences: Sequence[LickOccurrence]) -> str:
    songs = [
        (title, list(of_song))
        for (_, title), of_song in groupby(occurrences, lambda place: (place.song, place.title))
    ]
    listed = [f"{title} {_measures_of(of_song)}" for title, of_song in songs[:SONGS_SHOWN]]
    left = len(songs) - len(listed)
    return "; ".join(listed) + (f"; and {counted(left, 'song')} more" if left else "")


def _measures_of(places: Sequence[LickOccurrence]) -> str:
    skeleton = " (by its skeleton)" if any(place.form == "skeleton" for place in places) else ""
    listed = [measures_listed(place.measures) for place in places]
    return ", ".join(listed) + skeleton
