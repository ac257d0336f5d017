"""Recurring licks for people: each with its degrees, notes, chords and places."""

from collections.abc import Sequence
from dataclasses import asdict
from itertools import groupby

from melodex.cli.terminal import say
from melodex.model.recurring import LickOccurrence, RecurringLick
from melodex.report.words import measures_listed

SONGS_SHOWN = 6


def print_licks(licks: Sequence[RecurringLick]) -> None:
    """Print each lick as a paragraph, numbered."""
    for number, lick in enumerate(licks, start=1):
        _print_lick(number, lick)


def _print_lick(number: int, lick: RecurringLick) -> None:
    places = _counted(len(lick.occurrences), "place")
    versions = f" of {_counted(lick.tunes, 'tune')}" if lick.tunes < lick.songs else ""
    say(f"{number}. {lick.lick}: {places} in {_counted(lick.songs, 'song')}{versions}")
    say(f"   degrees  {' '.join(lick.degrees)}")
    say(f"   notes    {' '.join(lick.notes)}, in {lick.key}, {_counted(lick.measures, 'measure')}")
    said = " (estimated)" if lick.chords_estimated else ""
    say(f"   chords   {' '.join(lick.chords) or 'unknown'}{said}")
    say(f"{' ' * 12}{_places_in_words(lick.occurrences)}", "")


def csv_rows(licks: Sequence[RecurringLick]) -> list[dict[str, object]]:
    """Give a row a lick for a spreadsheet, its places as song:first-last."""
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


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s'[: number != 1]}"


def _places_in_words(occurrences: Sequence[LickOccurrence]) -> str:
    songs = [
        (title, list(of_song))
        for (_, title), of_song in groupby(occurrences, lambda place: (place.song, place.title))
    ]
    told = [f"{title} {_measures_of(of_song)}" for title, of_song in songs[:SONGS_SHOWN]]
    left = len(songs) - len(told)
    return "; ".join(told) + (f"; and {_counted(left, 'song')} more" if left else "")


def _measures_of(places: Sequence[LickOccurrence]) -> str:
    skeleton = " (by its skeleton)" if any(place.form == "skeleton" for place in places) else ""
    listed = [measures_listed(place.measures) for place in places]
    return ", ".join(listed) + skeleton
