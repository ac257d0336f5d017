import os
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

from melodex.index.intake import reading_limits
from melodex.index.intake.reading_limits import MOST_SECONDS, seconds_for
from melodex.index.intake.reading_processes import ReadingProcesses, usable_processors
from melodex.parsing.corpus_walk import bundled_files
from tests.index.toy_reader import read_toy_file, toy_file

PATIENCE_SECONDS = 20.0


def _is_running(process_number):
    """Return whether a process runs; a zombie does not."""
    try:
        state = Path(f"/proc/{process_number}/stat").read_text()
    except OSError:
        return False
    return state.rpartition(")")[2].split()[0] != "Z"


def _wait_until(condition):
    deadline = time.monotonic() + PATIENCE_SECONDS
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.01)


def test_records_come_in_the_order_of_files_however_long_each_takes(tmp_path):
    files = [
        toy_file(tmp_path / "slow.toy", ["wait|0.2", "1|Slow|60"]),
        *(toy_file(tmp_path / f"{n}.toy", [f"1|Tune {n}|60"]) for n in range(5)),
    ]
    with ReadingProcesses(read_toy_file, workers=2) as processes:
        records = list(processes.records(files))
    titles = [record.songs[0].title for record in records]
    assert titles == ["Slow", "Tune 0", "Tune 1", "Tune 2", "Tune 3", "Tune 4"]


def test_a_file_that_kills_its_reader_costs_only_itself(tmp_path):
    files = [
        toy_file(tmp_path / "0.toy", ["1|Waltz|60"]),
        toy_file(tmp_path / "1.toy", ["die"]),
        toy_file(tmp_path / "2.toy", ["die"]),
        toy_file(tmp_path / "3.toy", ["die"]),
        toy_file(tmp_path / "4.toy", ["1|Reel|60"]),
    ]
    with ReadingProcesses(read_toy_file, workers=2) as processes:
        records = list(processes.records(files))
    assert [len(record.songs) for record in records] == [1, 0, 0, 0, 1]
    (failure,) = records[1].failures
    assert failure.file == files[1].shown_as
    assert failure.reason == (
        "the process reading it was stopped by SIGKILL, perhaps because memory ran out"
    )


def test_a_reader_that_ends_its_process_is_reported_with_the_exit_code(tmp_path):
    file = toy_file(tmp_path / "0.toy", ["exit|3"])
    with ReadingProcesses(read_toy_file, workers=2) as processes:
        ((_, (failure,)),) = processes.records([file])
    assert failure.reason == "the process reading it ended with exit code 3"


def test_a_file_that_takes_too_long_costs_only_itself(tmp_path, monkeypatch):
    monkeypatch.setattr(reading_limits, "LEAST_SECONDS", 2.0)
    files = [
        toy_file(tmp_path / "0.toy", ["wait|9999"]),
        toy_file(tmp_path / "1.toy", ["1|Waltz|60"]),
    ]
    with ReadingProcesses(read_toy_file, workers=1) as processes:
        slow, good = processes.records(files)
    assert [failure.reason for failure in slow.failures] == [
        "it took longer than 2 seconds to read"
    ]
    assert good.songs[0].title == "Waltz"


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux limits the memory of a process")
def test_a_file_that_takes_too_much_memory_costs_only_itself(tmp_path):
    files = [
        toy_file(tmp_path / "0.toy", ["hoard|2000000000"]),
        toy_file(tmp_path / "1.toy", ["1|Waltz|60"]),
    ]
    with ReadingProcesses(read_toy_file, workers=1) as processes:
        greedy, good = processes.records(files)
    assert [failure.reason for failure in greedy.failures] == [
        "reading it needs more than 768 MB of memory"
    ]
    assert good.songs[0].title == "Waltz"


def test_a_larger_file_may_take_longer_but_not_for_ever():
    # The slowest bundled file by far: 164 KB, 6.3 seconds on two cores.
    (quartet,) = [file for file in bundled_files("beethoven") if "opus74" in file.shown_as]
    assert seconds_for(1000) == 10.0
    assert seconds_for(quartet.path.stat().st_size) > 10 * 6.3
    assert seconds_for(10**12) == MOST_SECONDS


def test_what_a_reader_prints_does_not_get_between_its_results(tmp_path):
    file = toy_file(tmp_path / "0.toy", ["print|hello", "1|Waltz|60"])
    with ReadingProcesses(read_toy_file, workers=2) as processes:
        (record,) = processes.records([file])
    assert record.songs[0].title == "Waltz"


def test_a_python_without_an_interpreter_to_start_is_a_failure(tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "executable", str(tmp_path / "no python here"))
    file = toy_file(tmp_path / "0.toy", ["1|Waltz|60"])
    with ReadingProcesses(read_toy_file, workers=2) as processes:
        ((_, (failure,)),) = processes.records([file])
    assert failure.reason == "no process could be started to read it"


def test_stopping_early_does_not_wait_for_files_still_being_read(tmp_path):
    hours = [
        toy_file(tmp_path / f"{n}.toy", [f"pid|{tmp_path}/pid", "wait|9999"]) for n in range(9)
    ]

    def interrupt_once_reading():
        with ReadingProcesses(read_toy_file, workers=2) as processes:
            for _ in processes.records([toy_file(tmp_path / "ok.toy", ["1|Waltz|60"]), *hours]):
                _wait_until((tmp_path / "pid").exists)
                raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupt_once_reading()  # this test would take hours if it waited


@pytest.mark.skipif(sys.platform != "linux", reason="looks at /proc")
def test_the_processes_end_when_the_one_that_began_them_is_killed(tmp_path):
    file = toy_file(tmp_path / "0.toy", [f"pid|{tmp_path}/pid", "wait|0.3", "1|Waltz|60"])
    program = textwrap.dedent(f"""
        from pathlib import Path
        from melodex.index.intake.reading_processes import ReadingProcesses
        from melodex.parsing.corpus_walk import MusicFile
        from tests.index.toy_reader import read_toy_file
        file = MusicFile(Path({str(file.path)!r}), "0.toy", "")
        with ReadingProcesses(read_toy_file, workers=2) as processes:
            list(processes.records([file] * 100))
    """)
    parent = subprocess.Popen([sys.executable, "-c", program])
    pid_file = tmp_path / "pid"
    _wait_until(lambda: pid_file.exists() and pid_file.read_text().isdigit())
    parent.kill()
    parent.wait()
    reader = int(pid_file.read_text())
    _wait_until(lambda: not _is_running(reader))


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="the system cannot bind")
def test_no_more_processors_are_used_than_this_process_may():
    allowed = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {min(allowed)})
    try:
        assert usable_processors() == 1
    finally:
        os.sched_setaffinity(0, allowed)


def test_ctrl_c_does_not_reach_the_reading_processes(tmp_path):
    file = toy_file(tmp_path / "0.toy", [f"pid|{tmp_path}/pid", "1|Waltz|60"])
    with ReadingProcesses(read_toy_file, workers=2) as processes:
        list(processes.records([file]))
        reader = int((tmp_path / "pid").read_text())
        # The terminal signals the whole process group of the foreground.
        assert os.getpgid(reader) != os.getpgid(0)
        os.kill(reader, signal.SIGTERM)
