"""Shared phrases for people: a table, the aligned notes, and how much of each song they cover."""

from collections.abc import Mapping
from dataclasses import asdict

from melodex.alignment.forms import AS_WRITTEN
from melodex.cli.printing.evidence_text import SCORE_AND_CHANCE, evidence_cells, remark_column
from melodex.cli.printing.match_text import INDENT, notes_width
from melodex.cli.terminal import print_lines, print_table
from melodex.model.results.phrase import OtherPlaces, SharedMaterial, SongShare
from melodex.model.song import Song
from melodex.notation.measure_names import half_steps_in_words, measures_in_words, measures_listed
from melodex.report.aligned_text import aligned_lines


def print_phrase_table(shared: SharedMaterial) -> None:
    """Print a line for each shared phrase."""
    rows = [
        asdict(phrase)
        | {
            "number": number,
            "in a": _from_to(phrase.first_measure_a, phrase.last_measure_a),
            "in b": _from_to(phrase.first_measure_b, phrase.last_measure_b),
            "key change": half_steps_in_words(phrase.transposition),
            "also": _also(others),
        }
        | evidence_cells(phrase.score, phrase.expected_by_chance)
        for number, (phrase, others) in enumerate(
            zip(shared.phrases, shared.other_places, strict=True), start=1
        )
    ]
    columns = {
        "": "number",
        "notes #": "notes",
        **SCORE_AND_CHANCE,
        "first song": "in a",
        "second song": "in b",
        "half-steps": "key change",
        "also": "also",
        **remark_column(rows),
    }
    print_table(columns, rows)


def print_phrases_of(
    a: Song, b: Song, shared: SharedMaterial, labels: Mapping[str, str], *, show: int
) -> None:
    """Print, for the longest phrases, the aligned notes of both songs."""
    name_a, name_b = labels[shared.share_a.song], labels[shared.share_b.song]
    for phrase, alignment in list(zip(shared.phrases, shared.alignments, strict=True))[:show]:
        print_lines("")
        for which, name, first, last in (
            ("first", name_a, phrase.first_measure_a, phrase.last_measure_a),
            ("second", name_b, phrase.first_measure_b, phrase.last_measure_b),
        ):
            form = "" if which == "first" or phrase.form == AS_WRITTEN.name else f", {phrase.form}"
            print_lines(
                f"{INDENT}{which:8}{name}, {measures_in_words(range(first, last + 1))}{form}"
            )
        lines = aligned_lines(
            a, b, alignment, transposition=phrase.transposition, width=notes_width()
        )
        print_lines(*(f"{INDENT}{line}" for line in lines))


def print_shares(shared: SharedMaterial, labels: Mapping[str, str]) -> None:
    """Print how much of each song the shared phrases cover."""
    shares = dict.fromkeys((shared.share_a, shared.share_b))
    print_lines(*(_share_in_words(share, labels[share.song]) for share in shares))


def print_form(shared: SharedMaterial) -> None:
    """Print the form of a song that was compared with itself."""
    if shared.form:
        parts = [f"{p.letter} ({_from_to(p.first_measure, p.last_measure)})" for p in shared.form]
        print_lines(f"Form, with measures: {', '.join(parts)}")


def _share_in_words(share: SongShare, label: str) -> str:
    percent = f"{share.notes / share.all_notes:.0%}" if share.all_notes else "none"
    return (
        f"{label}: {share.notes} of {share.all_notes} notes ({percent}) belong to these "
        f"phrases, in {share.measures} of {share.all_measures} measures."
    )


def _also(others: OtherPlaces) -> str:
    """List the further places of a phrase: first 1-8, 25-32; second 9-12."""
    parts = [
        f"{which} {', '.join(_from_to(*place) for place in places)}"
        for which, places in (("first", others.a), ("second", others.b))
        if places
    ]
    return "; ".join(parts)


def _from_to(first: int, last: int) -> str:
    return measures_listed(range(first, last + 1))
