"""How a command ends on Ctrl-C and on a closed pipe."""

import os
import subprocess
import sys

import pytest

from melodex.cli import CUT_OFF, INTERRUPTED
from melodex.finder.collection import list_songs


@pytest.mark.usefixtures("catalogue")
def test_an_interrupted_command_says_that_what_was_finished_is_kept(run, monkeypatch):
    def press_ctrl_c(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(list_songs, "sorted_songs", press_ctrl_c)
    stopped = run("songs")
    assert stopped.code == INTERRUPTED
    assert stopped.err == "Stopped; what was finished is kept.\n"


@pytest.mark.usefixtures("catalogue")
def test_a_closed_pipe_ends_a_command_silently():
    command = [sys.executable, "-m", "melodex", "songs", "--csv"]
    read_end, write_end = os.pipe()
    os.close(read_end)
    listing = subprocess.run(command, stdout=write_end, stderr=subprocess.PIPE, check=False)
    os.close(write_end)
    assert (listing.returncode, listing.stderr) == (CUT_OFF, b"")
