"""Files that users keep are the old ones or the new ones, never a part of one."""

import os
import signal
import stat
import subprocess
import sys
import time

import pytest

from melodex.whole_files import written_whole


def test_a_new_file_has_the_permissions_of_any_new_file(tmp_path):
    with written_whole(tmp_path / "plan.toml") as part:
        part.write_text("new")
    (tmp_path / "plain").touch()
    assert (tmp_path / "plan.toml").read_text() == "new"
    assert (tmp_path / "plan.toml").stat().st_mode == (tmp_path / "plain").stat().st_mode
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plain", "plan.toml"]


def test_a_file_that_is_replaced_keeps_its_permissions_and_a_link_stays_a_link(tmp_path):
    (tmp_path / "real").write_text("old")
    (tmp_path / "real").chmod(0o640)
    (tmp_path / "link").symlink_to("real")
    with written_whole(tmp_path / "link") as part:
        part.write_text("new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_text() == "new"
    assert stat.S_IMODE((tmp_path / "real").stat().st_mode) == 0o640


@pytest.mark.parametrize("error", [OSError("disk full"), KeyboardInterrupt()])
def test_a_writer_that_fails_leaves_the_file_as_it_was_and_nothing_else(tmp_path, error):
    (tmp_path / "plan.toml").write_text("old")

    def write():
        with written_whole(tmp_path / "plan.toml") as part:
            part.write_text("half")
            raise error

    with pytest.raises(type(error)):
        write()
    assert [path.read_text() for path in tmp_path.iterdir()] == ["old"]


WRITER = """
import sys
from pathlib import Path
from melodex.whole_files import written_whole
with written_whole(Path(sys.argv[1])) as part:
    part.write_text("half")
    print("written", flush=True)
    sys.stdin.read()
"""


def test_what_a_killed_writer_left_is_removed_by_a_later_one_once_it_is_old(tmp_path):
    path = tmp_path / "plan [1].toml"
    path.write_text("old")
    command = [sys.executable, "-c", WRITER, str(path)]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        writer.stdout.readline()
        writer.send_signal(signal.SIGKILL)
    (left,) = set(tmp_path.iterdir()) - {path}
    assert path.read_text() == "old"
    for age, still_there in ((0, True), (7200, False)):
        os.utime(left, (time.time() - age,) * 2)
        with written_whole(path) as part:
            part.write_text("new")
        assert left.exists() is still_there
    assert path.read_text() == "new"


def test_a_folder_cannot_be_replaced(tmp_path):
    with pytest.raises(IsADirectoryError), written_whole(tmp_path) as part:
        part.write_text("new")
