"""A lick from a file is read under the limits that every file is read under."""

import os

import pytest

from melodex.errors import QueryError, ScoreParseError
from melodex.index.intake import reading_limits
from melodex.search.query import lick_from_file

TUNE = "X:1\nT:Gate\nL:1/4\nK:G\nG2 AB|\n"


def test_a_file_with_one_tune_is_a_lick(tmp_path):
    (tmp_path / "lick.abc").write_text(TUNE)
    lick = lick_from_file(tmp_path / "lick.abc")
    assert lick.melody.pitches.tolist() == [67, 69, 71]
    assert lick.melody.durations.tolist() == [2, 1, 1]
    assert lick.came_from == str(tmp_path / "lick.abc")


def test_a_file_with_several_tunes_is_not_a_lick(tmp_path):
    (tmp_path / "book.abc").write_text(TUNE + "\n" + TUNE.replace("X:1", "X:2"))
    with pytest.raises(QueryError, match="holds 2 tunes"):
        lick_from_file(tmp_path / "book.abc")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "lick.abc")
    with pytest.raises(ScoreParseError, match="not an ordinary file"):
        lick_from_file(tmp_path / "lick.abc")


def test_a_file_that_takes_too_long_is_given_up(tmp_path, monkeypatch):
    monkeypatch.setattr(reading_limits, "LEAST_SECONDS", 0.0)
    (tmp_path / "lick.abc").write_text(TUNE)
    with pytest.raises(ScoreParseError, match="took longer than") as caught:
        lick_from_file(tmp_path / "lick.abc")
    assert "give the lick as text" in caught.value.next_step
