"""Matches for people: a table, and the notes of lick and song one above the other."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict

from melodex.alignment.questions import Form
from melodex.cli.terminal import line_width, notice, print_table, say
from melodex.finder.song_labels import song_labels
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.match import Match, ShapeMatch
from melodex.report.aligned_text import aligned_lines, note_names
from melodex.report.words import (
    NO_LEGAL_OPINION,
    chance_in_words,
    half_steps_in_words,
    measures_in_words,
    measures_listed,
)
from melodex.significance.chance import is_weak_evidence

CAUTION = NO_LEGAL_OPINION
INDENT = "  "
MOST_FOR_NOTES = 120  # characters a line; longer ones are hard to follow
WEAK = "{} notes are weak evidence: many songs hold them by accident. Ask for six or more."


def print_match_table(matches: Sequence[Match], labels: Mapping[str, str]) -> None:
    """Print a line for each match; ``labels`` names songs by their ids."""
    rows = [
        asdict(match)
        | {
            "title": labels[match.song],
            "place": measures_listed(match.measures),
            "key change": half_steps_in_words(match.transposition),
            "score": f"{match.score:.2f}",
            "by chance": chance_in_words(match.expected_by_chance),
            "number": number,
        }
        for number, match in enumerate(matches, start=1)
    ]
    columns = {
        "": "number",
        "score #": "score",
        "by chance #": "by chance",
        "title": "title",
        "measures": "place",
        "half-steps": "key change",
    }
    print_table(columns, rows)


def print_shape_table(catalogue: Catalogue, matches: Sequence[ShapeMatch]) -> None:
    """Print a line for each song that follows a shape, and the notes that do."""
    labels = song_labels(catalogue)
    rows = [
        {
            "number": number,
            "score": f"{match.score:.2f}",
            "by chance": chance_in_words(match.expected_by_chance),
            "title": labels[match.song],
            "place": measures_listed(match.measures),
            "notes": note_names(catalogue.song(match.song), (note for _, note in match.alignment)),
        }
        for number, match in enumerate(matches, start=1)
    ]
    columns = {
        "": "number",
        "score #": "score",
        "by chance #": "by chance",
        "title": "title",
        "measures": "place",
        "notes": "notes",
    }
    print_table(columns, rows)


def print_notes_of(
    catalogue: Catalogue, lick: Lick, matches: Sequence[Match], labels: Mapping[str, str]
) -> None:
    """Print, for each match, the lick above the notes that match it."""
    for match in matches:
        song = catalogue.song(match.song)
        say()
        inside = ", by its skeleton" if match.form == Form.SKELETON else ""
        say(f"{labels[match.song]}, {measures_in_words(match.measures)}{inside}")
        lines = aligned_lines(
            lick,
            song,
            match.alignment,
            transposition=match.transposition,
            width=notes_width(),
        )
        say(*(f"{INDENT}{line}" for line in lines))


def notes_width() -> int:
    """Return the characters a line for notes one above the other, which stand indented."""
    return min(line_width(), MOST_FOR_NOTES) - len(INDENT)


def print_cautions(lick: Lick) -> None:
    """Say what a score is not, and of a short lick how little it proves."""
    notice(CAUTION)
    if is_weak_evidence(len(lick.melody)):
        notice(WEAK.format(len(lick.melody)))
