"""Matches for people: a table, and the notes of lick and song one above the other."""

from collections.abc import Sequence
from dataclasses import asdict

from melodex.cli.output import print_table, say
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.match import Match
from melodex.report.aligned_text import aligned_lines
from melodex.report.words import half_steps_in_words, measures_in_words, measures_listed

CAUTION = (
    "A low cost or a high score says that notes resemble each other, not that anybody copied: "
    "it is no legal opinion."
)


def print_match_table(matches: Sequence[Match]) -> None:
    """Print a line for each match."""
    rows = [
        asdict(match)
        | {
            "place": measures_listed(match.measures),
            "key change": half_steps_in_words(match.transposition),
            "number": number,
        }
        for number, match in enumerate(matches, start=1)
    ]
    columns = {
        "": "number",
        "cost #": "cost",
        "title": "title",
        "measures": "place",
        "half-steps": "key change",
        "places #": "places",
        "song": "song",
    }
    print_table(columns, rows)


def print_notes_of(catalogue: Catalogue, lick: Lick, matches: Sequence[Match]) -> None:
    """Print, for each match, the lick above the notes that answer it."""
    for match in matches:
        song = catalogue.song(match.song)
        say()
        say(f"{match.title}, {measures_in_words(match.measures)}")
        lines = aligned_lines(lick, song, match.alignment, transposition=match.transposition)
        for line in lines:
            say(f"  {line}")
