"""Whatever stops an addition, or runs beside it, the catalogue stays sound and nothing is lost."""

import signal
import sqlite3
import subprocess
import sys

import pytest

from melodex.index.intake.build import add_files
from melodex.index.store import open_catalogue
from tests.index.toy_reader import read_toy_file, toy_file

FILES, TUNES = 60, 25
# Adds toy files given by folder; says on stdout how many are done.
PROGRAM = """
import sys
import time
from pathlib import Path
from melodex.index.intake import build
from melodex.index.intake import reading_processes
from melodex.index.store import open_catalogue
from melodex.parsing.corpus_walk import MusicFile
from tests.index.toy_reader import read_toy_file
def tell(progress):
    print(progress.files_done, flush=True)
    time.sleep(0.02)  # or all is done before whoever reads this can interrupt
if __name__ == "__main__":
    folder, catalogue = map(Path, sys.argv[1:3])
    reading_processes.WORTH_A_SECOND_PROCESS = int(sys.argv[3])
    files = [MusicFile(path, str(path), "class") for path in sorted(folder.glob("*.toy"))]
    with open_catalogue(catalogue, create=True) as opened:
        print("open", flush=True)
        build.add_files(opened, files, read=read_toy_file, progress=tell)
"""
IN_ONE_PROCESS, IN_SEVERAL = "999999999", "0"


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "tunes"
    folder.mkdir()
    for n in range(FILES):
        toy_file(folder / f"{n:03}.toy", [f"{t}|Tune {n} {t}|60 {t} 64 65" for t in range(TUNES)])
    return folder


def _start(folder, path, where):
    command = [sys.executable, "-c", PROGRAM, str(folder), str(path), where]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def _assert_whole_files(path):
    """The file is sound, and every music file is in with all of its songs or none."""
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        counts = connection.execute("SELECT count(*) FROM song GROUP BY file").fetchall()
    connection.close()
    assert set(counts) <= {(TUNES,)}
    return len(counts)


def test_killing_an_addition_again_and_again_loses_nothing(folder, tmp_path):
    path = tmp_path / "songs"
    done = 0
    for round_number in range(8):
        where = IN_SEVERAL if round_number % 2 else IN_ONE_PROCESS
        with _start(folder, path, where) as adding:
            for _ in range(1 + round_number % 5):
                adding.stdout.readline()
            adding.kill()
        before, done = done, _assert_whole_files(path)
        assert done >= before
        assert done < FILES  # else this round has shown nothing
    with open_catalogue(path) as catalogue:
        files = [toy_file(path, path.read_text().splitlines()) for path in folder.glob("*.toy")]
        report = add_files(catalogue, files, read=read_toy_file)
        assert report.unchanged == done * TUNES
        assert report.added == (FILES - done) * TUNES
        assert len(catalogue.song_ids()) == FILES * TUNES


@pytest.mark.parametrize("where", [IN_ONE_PROCESS, IN_SEVERAL])
def test_ctrl_c_leaves_a_sound_catalogue_with_the_files_so_far(folder, tmp_path, where):
    path = tmp_path / "songs"
    with _start(folder, path, where) as adding:
        for _ in range(3):
            adding.stdout.readline()
        adding.send_signal(signal.SIGINT)
        errors = adding.stderr.read()
    assert adding.returncode != 0
    assert "KeyboardInterrupt" in errors
    assert 2 <= _assert_whole_files(path) < FILES


def test_processes_that_make_one_catalogue_at_once_all_find_it_made(tmp_path):
    program = (
        "import sys; from pathlib import Path; from melodex.index.store import open_catalogue; "
        "print(open_catalogue(Path(sys.argv[1]), create=True).melody_version())"
    )
    for round_number in range(2):
        command = [sys.executable, "-c", program, str(tmp_path / str(round_number))]
        makers = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(4)]
        versions = {maker.communicate()[0] for maker in makers}
        assert len(versions) == 1
        assert versions != {""}


def test_two_additions_at_once_both_finish_without_duplicates(folder, tmp_path):
    path = tmp_path / "songs"
    with _start(folder, path, IN_SEVERAL) as one, _start(folder, path, IN_SEVERAL) as two:
        errors = [adding.communicate()[1] for adding in (one, two)]
    assert errors == ["", ""]
    assert [one.returncode, two.returncode] == [0, 0]
    assert _assert_whole_files(path) == FILES
