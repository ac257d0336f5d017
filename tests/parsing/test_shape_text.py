"""Shapes in words: valid and invalid moves."""

import pytest

from melodex.errors import QueryError
from melodex.model.shape import Move, Shape
from melodex.parsing.shape_text import MOST_MOVES, shape_from_text


def test_every_move_that_can_be_written_is_read():
    text = "up, down, same, step up, step down, leap up, leap down, up long, same short"
    assert shape_from_text(text) == Shape(
        (
            Move(1),
            Move(-1),
            Move(0),
            Move(1, is_step=True),
            Move(-1, is_step=True),
            Move(1, is_step=False),
            Move(-1, is_step=False),
            Move(1, is_longer=True),
            Move(0, is_longer=False),
        )
    )


def test_case_and_spaces_do_not_matter():
    assert shape_from_text(" Step  UP ,Same") == shape_from_text("step up, same")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "Move 1 of the shape is missing"),
        ("up,,down", "Move 2 of the shape is missing"),
        ("up, sideways", "Move 2 of the shape, 'sideways', is not a move"),
        ("step same", "'step same', is not a move"),
        (
            "up, " * MOST_MOVES + "up",
            f"{MOST_MOVES + 1} moves, but at most {MOST_MOVES} are allowed",
        ),
    ],
)
def test_what_is_no_shape_is_refused_with_its_place_and_what_to_write(text, problem):
    with pytest.raises(QueryError, match=problem) as refused:
        shape_from_text(text)
    assert refused.value.next_step
