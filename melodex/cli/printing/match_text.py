"""Matches for people: a table, and the aligned notes of lick and song."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict

from melodex.alignment.forms import AS_WRITTEN
from melodex.cli.printing.evidence_text import (
    SCORE_AND_CHANCE,
    evidence_cells,
    notice_if_only_coincidences,
    remark_column,
)
from melodex.cli.terminal import line_width, notice, print_lines, print_table
from melodex.finder.collection.song_labels import song_labels
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.results.match import Match, ShapeMatch
from melodex.notation.measure_names import half_steps_in_words, measures_in_words, measures_listed
from melodex.notation.note_names import note_names
from melodex.report.aligned_text import aligned_lines
from melodex.report.evidence_words import NO_LEGAL_OPINION, coincidence_in_words
from melodex.report.weak_evidence import weak_lick_in_words, weak_shape_in_words

CAUTION = NO_LEGAL_OPINION
INDENT = "  "
MOST_FOR_NOTES = 120  # characters a line; longer ones are hard to follow


def print_match_table(matches: Sequence[Match], labels: Mapping[str, str]) -> None:
    """Print a line for each match; ``labels`` names songs by their ids."""
    rows = [
        asdict(match)
        | {
            "title": labels[match.song],
            "place": measures_listed(match.measures),
            "key change": half_steps_in_words(match.transposition),
            "number": number,
        }
        | evidence_cells(match.score, match.expected_by_chance)
        for number, match in enumerate(matches, start=1)
    ]
    columns = {
        "": "number",
        **SCORE_AND_CHANCE,
        "title": "title",
        "measures": "place",
        "half-steps": "key change",
        **remark_column(rows),
    }
    print_table(columns, rows)


def print_shape_table(catalogue: Catalogue, matches: Sequence[ShapeMatch]) -> None:
    """Print a line for each song that follows a shape, and the notes that do."""
    labels = song_labels(catalogue)
    rows = [
        {
            "number": number,
            "title": labels[match.song],
            "place": measures_listed(match.measures),
            "notes": note_names(catalogue.song(match.song), (note for _, note in match.alignment)),
        }
        | evidence_cells(match.score, match.expected_by_chance)
        for number, match in enumerate(matches, start=1)
    ]
    columns = {
        "": "number",
        **SCORE_AND_CHANCE,
        "title": "title",
        "measures": "place",
        "notes": "notes",
        **remark_column(rows),
    }
    print_table(columns, rows)


def print_notes_of(
    catalogue: Catalogue, lick: Lick, matches: Sequence[Match], labels: Mapping[str, str]
) -> None:
    """Print, for each match, the lick above the notes that match it."""
    for match in matches:
        song = catalogue.song(match.song)
        print_lines("")
        form = "" if match.form == AS_WRITTEN.name else match.form
        remarks = [form, coincidence_in_words(match.expected_by_chance)]
        print_lines(
            ", ".join(
                [labels[match.song], measures_in_words(match.measures), *filter(None, remarks)]
            )
        )
        lines = aligned_lines(
            lick,
            song,
            match.alignment,
            transposition=match.transposition,
            width=notes_width(),
        )
        print_lines(*(f"{INDENT}{line}" for line in lines))


def notes_width() -> int:
    """Return the width in characters of a line of aligned notes, which are indented."""
    return min(line_width(), MOST_FOR_NOTES) - len(INDENT)


def print_cautions(lick: Lick, matches: Sequence[Match]) -> None:
    """Print cautions on how far to trust the matches of a lick."""
    notice_if_only_coincidences(matches)
    notice(CAUTION, *filter(None, [weak_lick_in_words(len(lick.melody))]))


def print_shape_cautions(matches: Sequence[ShapeMatch]) -> None:
    """Print cautions on how far to trust the matches of a shape."""
    notice_if_only_coincidences(matches)
    n_moves = len(matches[0].alignment) - 1
    notice(CAUTION, *filter(None, [weak_shape_in_words(n_moves)]))
