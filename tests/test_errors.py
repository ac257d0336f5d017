"""Errors say what is wrong and what to do next, wherever they were raised."""

import pickle
from pathlib import Path

import pytest

from melodex import errors
from melodex.errors import MelodexError, QueryError, ScoreParseError

PLAIN_ERRORS = [
    kind
    for kind in vars(errors).values()
    if isinstance(kind, type) and issubclass(kind, MelodexError) and kind is not ScoreParseError
]


@pytest.mark.parametrize("kind", PLAIN_ERRORS)
def test_an_error_shows_the_problem_and_the_next_step(kind):
    error = kind("The gate is shut.", "open it.")
    assert str(error) == "The gate is shut.\nNext: open it."


@pytest.mark.parametrize("kind", PLAIN_ERRORS)
def test_an_error_crosses_a_process_pool_unchanged(kind):
    error = kind("The gate is shut.", "open it.")
    arrived = pickle.loads(pickle.dumps(error))  # noqa: S301
    assert type(arrived) is kind
    assert str(arrived) == str(error)


def test_a_score_error_crosses_a_process_pool_with_its_place():
    error = ScoreParseError(Path("reels.abc"), reason="no key", tune="12", line=340)
    arrived = pickle.loads(pickle.dumps(error))  # noqa: S301
    assert (arrived.path, arrived.tune, arrived.line) == (Path("reels.abc"), "12", 340)
    assert str(arrived) == str(error)


def test_a_score_error_names_tune_file_and_line():
    error = ScoreParseError(Path("reels.abc"), reason="measure 7 is too long", tune="12", line=340)
    assert error.problem == "Cannot read tune 12 of reels.abc (line 340): measure 7 is too long."


def test_a_score_error_without_a_tune_means_the_whole_file():
    error = ScoreParseError(Path("reels.abc"), reason="the file is empty")
    assert error.problem == "Cannot read reels.abc: the file is empty."


def test_a_mistake_on_the_command_line_ends_with_2_and_any_other_with_1():
    # Source: the project's interface: exit code 2, the command line is wrong; 1, the data are.
    assert {kind.exit_code for kind in PLAIN_ERRORS if kind is not QueryError} == {1}
    assert QueryError.exit_code == 2
