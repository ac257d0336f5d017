"""Pieces and spines of Humdrum files."""

from pathlib import Path

import pytest

from melodex.errors import ScoreParseError
from melodex.parsing.kern.humdrum_spines import (
    MOST_COLUMNS,
    MOST_TOKENS,
    pieces_of,
    references_of,
    spines_of,
)

SHOWN = Path("tune.krn")


def columns(text: str) -> dict[str, list[str]]:
    """Return the tokens of each spine of one piece, by kind of spine."""
    (piece,) = pieces_of(text)
    return {spine.kind: [text for _, text in spine.tokens] for spine in spines_of(piece, SHOWN)}


# Source of the spine paths: Huron, The Humdrum User Guide, chapter 5.


def test_null_tokens_and_comments_are_left_out():
    rows = "**kern\t**text\n!word\t!\n4c\tla\n.\tlo\n*-\t*-\n"
    assert columns(rows) == {"kern": ["4c"], "text": ["la", "lo"]}


def test_exchanged_spines_are_followed_to_their_new_columns():
    rows = "**kern\t**text\n4c\tla\n*x\t*x\nlo\t4d\n*-\t*-\n"
    assert columns(rows) == {"kern": ["4c", "4d"], "text": ["la", "lo"]}


def test_a_spine_that_ends_leaves_its_column_to_the_next():
    rows = "**text\t**kern\nla\t4c\n*-\t*\n4d\n*-\n"
    assert columns(rows) == {"text": ["la"], "kern": ["4c", "4d"]}


def test_of_nested_splits_the_first_branch_is_followed_through_the_joins():
    rows = "*^\t*\n4c\t4d\tla\n*^\t*\t*\n4e\t4f\t4g\tlo\n*v\t*v\t*v\t*\n4a\t.\n*-\t*-\n"
    assert columns("**kern\t**text\n" + rows)["kern"] == ["4c", "4e", "4a"]


def test_a_spine_added_on_the_way_is_not_followed():
    rows = "**kern\n4c\n*+\n*\t**text\n4d\tla\n*-\t*-\n"
    assert columns(rows) == {"kern": ["4c", "4d"]}


def test_two_tabs_between_columns_count_as_one():
    assert columns("**kern\t\t**text\n4c\t\tla\n*-\t*-\n") == {"kern": ["4c"], "text": ["la"]}


@pytest.mark.parametrize("row", ["4c\t4d\t4e", "4c", "*x\t*", "*x\t*x\t*x"])
def test_a_line_that_does_not_fit_the_spines_is_an_error_with_its_line(row):
    (piece,) = pieces_of(f"!! tune\n\n**kern\t**text\n{row}\n*-\t*-\n")
    with pytest.raises(ScoreParseError) as caught:
        spines_of(piece, SHOWN)
    assert caught.value.line == 4


def test_a_piece_begins_where_all_spines_begin_also_if_none_was_ended():
    pieces = list(pieces_of("**kern\n4c\n!!!OTL: Mill\n**kern\n4d\n"))
    assert [[number for number, _ in piece] for piece in pieces] == [[1, 2], [3, 4, 5]]


def test_a_reference_record_is_found_in_every_language():
    # Source: Huron, The Humdrum User Guide, chapter 2: a code, and "@" with a language.
    (piece,) = pieces_of("!!!OTL@@DE: Das Tor\n!!!OTL@EN:  The Gate\n!!!OTL:\n!!!COM: N. N.\n")
    assert references_of(piece)["OTL"] == ["Das Tor", "The Gate"]


@pytest.mark.parametrize(
    "text",
    [
        "**kern\n" + "4c\n" * MOST_TOKENS,
        "!!!OTL: Gate\n" * MOST_TOKENS + "**kern\n4c\n",
        "\t".join(["**kern"] * (MOST_COLUMNS + 1)),
    ],
)
def test_a_piece_beyond_any_music_is_refused(text):
    (piece,) = pieces_of(text)
    with pytest.raises(ScoreParseError, match="more than"):
        spines_of(piece, SHOWN)
