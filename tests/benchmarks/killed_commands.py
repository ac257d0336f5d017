"""How many commands that write can be killed at any moment without losing anything?

Each trial runs one command in a process of its own, on a copy of a small catalogue with files
beside it, and kills it (SIGKILL) at a random moment of the time that it usually takes, while
another process reads the catalogue. Afterwards the catalogue has to be sound; each song, kept lick
and user's file has to be as before or as after the command, songs of one file all or none; and the
same command has to work. ``python -m tests.benchmarks.killed_commands --kills 1000``
"""

import argparse
import contextlib
import io
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np

from melodex.cli import main as melodex_main
from melodex.errors import MelodexError
from melodex.finder.collection.check_catalogue import check_catalogue
from melodex.index.store import open_catalogue
from tests.invented_tunes import TUNE, Measure, book

CATALOGUE = "songs.db"
FIND = ("find", "--notes", "D4 E4 G4 A4 B4 A4 G4")
# The arguments of every command that writes, in a folder made by `first_folder`.
COMMANDS: Mapping[str, tuple[str, ...]] = {
    "add": ("add", "new"),
    "describe": ("describe", "levels.csv"),
    "correct": ("correct", "Tune 3", "--title", "Renamed"),
    "remove": ("remove", "Tune 4"),
    "keep": ("keep", "fill", "--from", "Tune 5", "--measures", "1-2"),
    "rename": ("rename", "opening", "walk down"),
    "forget": ("forget", "opening"),
    "licks": ("licks", "--limit", "3"),
    "taught": ("taught", "Tune 2", "--student", "ann.csv", "--date", "2027-01-11"),
    "lessons": ("lessons", "--lessons", "3", "--seconds", "0.2", "--write", "plan.toml"),
    "tab": ("tab", "Tune 1", "--write", "tune.musicxml"),
    "arrange": ("arrange", "Tune 2", "--write", "arranged.tab"),
    "place": ("place", "Tune 1", "--lick", "opening", "--write", "placed.musicxml"),
    "report": ("report", "--pair", "Tune 1", "Tune 2", "--write", "report.html"),
    "audit": ("audit", "--plots", "pictures"),
    "backup": ("backup", "backup.db"),
}
# Files that the commands write, as they were before.
WRITTEN = ("plan.toml", "tune.musicxml", "arranged.tab", "placed.musicxml", "report.html")


class Content(NamedTuple):
    """All that must not be lost."""

    songs: dict[str, object]  # by id
    files_of_songs: dict[str, str]
    kept: dict[str, object]
    files: dict[str, bytes]


def first_folder(folder: Path) -> None:
    """Make the folder that every trial begins with a copy of."""
    (folder / "new").mkdir(parents=True)
    tunes = [(f"Tune {n}", key, _measures(n)) for n, key in enumerate("CGDAFC")]
    (folder / "book.abc").write_text(book(*tunes), encoding="utf-8")
    (folder / "levels.csv").write_text("title,level\nTune 1,2\nTune 2,3\n", encoding="utf-8")
    (folder / "ann.csv").write_text("song\nTune 1\n", encoding="utf-8")
    for name in WRITTEN:
        (folder / name).write_text("as it was", encoding="utf-8")
    run_whole(folder, ("add", "book.abc"))
    run_whole(folder, ("keep", "opening", "--from", "Tune 1", "--measures", "1-2"))
    run_whole(folder, ("backup", "backup.db"))
    run_whole(folder, FIND)
    for n in range(3):
        more = [(f"More {n} {m}", "G", _measures(10 * n + m)[::-1]) for m in range(3)]
        (folder / "new" / f"{n}.abc").write_text(book(*more), encoding="utf-8")


def _measures(seed: int) -> list[Measure]:
    """Return twelve measures, of which all tunes share four."""
    own: list[Measure] = np.random.default_rng(seed).integers(4, 16, (8, 8)).tolist()
    return [*own[:4], *TUNE[:4], *own[4:]]


def begin(folder: Path, arguments: Sequence[str]) -> int:
    """Run a command in a process of its own, and return the process's number."""
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    code = 99
    with contextlib.suppress(BaseException):  # this is the new process
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        os.dup2(silence, 2)
        code = run_here(folder, arguments)
    os._exit(code)


def run_here(folder: Path, arguments: Sequence[str]) -> int:
    """Run a command in this process and return its exit code."""
    os.chdir(folder)
    sys.argv = ["melodex", *arguments, "--catalogue", CATALOGUE]
    try:
        melodex_main()
    except SystemExit as ended:
        return int(ended.code or 0)


def run_whole(folder: Path, arguments: Sequence[str]) -> tuple[int, float]:
    """Run a command to its end; return its exit code and the seconds it took."""
    begun = time.monotonic()
    _, status = os.waitpid(begin(folder, arguments), 0)
    return os.waitstatus_to_exitcode(status), time.monotonic() - begun


def content_of(folder: Path) -> Content:
    """Read all that must not be lost."""
    songs: dict[str, object] = {}
    with open_catalogue(folder / CATALOGUE) as catalogue, catalogue.reading() as connection:
        for entry in catalogue.entries():
            rows = connection.execute(
                "SELECT melody.checksum, score.checksum FROM song JOIN melody ON melody.song = id "
                "JOIN score ON score.song = id WHERE song.song = ?",
                (entry.song,),
            ).fetchall()
            songs[entry.song] = (entry, catalogue.facts(entry.song), rows)
        files = {entry.song: entry.file for entry in catalogue.entries()}
        kept = {row[0]: row for row in connection.execute("SELECT * FROM kept_lick")}
    users = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.suffix in {".toml", ".musicxml", ".tab", ".html", ".csv", ".svg"}
    }
    return Content(songs, files, kept, users)


def faults_after(folder: Path, before: Content, after: Content) -> list[str]:
    """Return what is wrong in a folder whose command was killed."""
    try:
        with open_catalogue(folder / CATALOGUE) as catalogue:
            faults = [fault.problem for fault in check_catalogue(catalogue).faults]
        with open_catalogue(folder / "backup.db") as backup:
            faults += [fault.problem for fault in check_catalogue(backup).faults]
        now = content_of(folder)
    except MelodexError as error:
        return [str(error)]
    for what in ("songs", "kept", "files"):
        old, new, found = (getattr(each, what) for each in (before, after, now))
        faults += [
            f"{what}: {name} is neither as before nor as after"
            for name in old.keys() | new.keys() | found.keys()
            if found.get(name) not in (old.get(name), new.get(name))
        ]
    for file in set(after.files_of_songs.values()):
        added = {song for song, of in after.files_of_songs.items() if of == file}
        added -= before.songs.keys()
        if added and len(added & now.songs.keys()) not in (0, len(added)):
            faults.append(f"half of the songs of {file}")
    return faults


def trial(first: Path, name: str, seconds: float, before: Content, after: Content) -> list[str]:
    """Kill one command and return what is wrong afterwards."""
    with tempfile.TemporaryDirectory(prefix="melodex-killed-") as scratch:
        folder = Path(scratch) / "a folder with spaces and ü"
        shutil.copytree(first, folder)
        reader = begin(folder, ("songs",))
        writer = begin(folder, COMMANDS[name])
        time.sleep(random.uniform(0, seconds))  # noqa: S311 - no secret
        with contextlib.suppress(ProcessLookupError):
            os.kill(writer, signal.SIGKILL)
        os.waitpid(writer, 0)
        faults = [] if not os.waitpid(reader, 0)[1] else ["a reader beside it failed"]
        faults += faults_after(folder, before, after)
        run_whole(folder, COMMANDS[name])  # may say that it is done already
        again = content_of(folder)
        if again._replace(files={}) != after._replace(files={}):
            faults.append("the command that followed left something else")
        if run_whole(folder, FIND)[0]:
            faults.append("find failed afterwards")
        return faults


def killed(first: Path, kills: int) -> dict[str, list[str]]:
    """Kill each command equally often; return the faults found, by command."""
    found: dict[str, list[str]] = {}
    before = content_of(first)
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        for arguments in COMMANDS.values():  # what is imported here need not be in each process
            with tempfile.TemporaryDirectory(prefix="melodex-killed-") as scratch:
                run_here(shutil.copytree(first, Path(scratch) / "warm"), arguments)
    os.chdir(first)
    for name, arguments in COMMANDS.items():
        with tempfile.TemporaryDirectory(prefix="melodex-killed-") as scratch:
            whole = Path(scratch) / "whole"
            shutil.copytree(first, whole)
            code, seconds = run_whole(whole, arguments)
            after = content_of(whole)
        faults = [f"it ended with {code} though it was not killed"] if code else []
        for _ in range(kills):
            faults += trial(first, name, seconds, before, after)
        found[name] = faults
        lines = [f"{name:9} {kills:4} kills within {seconds:.2f} s: {len(faults)} faults"]
        print(*lines, *sorted(set(faults)), sep="\n    ", flush=True)
    return found


def main() -> None:
    """Kill commands and exit with 1 if something was lost."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=1000, help="of all commands together")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    random.seed(given.seed)
    with tempfile.TemporaryDirectory(prefix="melodex-killed-") as scratch:
        first = Path(scratch) / "first"
        first_folder(first)
        found = killed(first, -(-given.kills // len(COMMANDS)))
    sys.exit(any(found.values()))


if __name__ == "__main__":
    main()
