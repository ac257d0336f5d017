"""A toy score format for tests of the catalogue, and its reader.

Each line is one tune, "number|title|pitches|remark" (the remark may be left out), or something to
happen: "fail|number|reason", "die" (the process that reads is killed), "exit|code", "raise|text",
"wait|seconds", "hoard|bytes", "print|text", "pid|file" (the reading process writes its number).
"""

import os
import signal
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from melodex.model.reading import Failure, Reading
from melodex.model.song import Song, Source
from melodex.parsing.corpus_walk import MusicFile
from tests.strategies import melody_of, song_of


def read_toy_file(path: Path, *, collection: str = "", shown_as: str | None = None) -> Reading:
    file = shown_as or str(path)
    songs: list[Song] = []
    failures: list[Failure] = []
    if not path.exists():
        return Reading((), (Failure(file, "", None, "there is no such file"),))
    for line, text in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        match text.split("|"):
            case ["fail", tune, reason]:
                failures.append(Failure(file, tune, line, reason))
            case [tune, title, pitches, *remarks]:
                song = song_of(melody_of(*map(int, pitches.split())), title=title)
                source = Source(file, tune, line)
                songs.append(
                    replace(song, source=source, collection=collection, remarks=tuple(remarks))
                )
            case [event, *details]:
                _happen(event, *details)
            case _:
                raise AssertionError("a split text has at least one part")
    return Reading(tuple(songs), tuple(failures))


def _happen(event: str, detail: str = "") -> None:
    match event:
        case "die":
            os.kill(os.getpid(), signal.SIGKILL)
        case "exit":
            sys.exit(int(detail))
        case "raise":
            raise IndexError(detail)
        case "wait":
            time.sleep(float(detail))
        case "hoard":
            bytearray(int(detail))
        case "print":
            print(detail)  # noqa: T201
        case "pid":
            Path(detail).write_text(str(os.getpid()), encoding="ascii")
        case _:
            assert not event


def toy_file(path: Path, tunes: Sequence[str], *, collection: str = "class") -> MusicFile:
    path.write_text("\n".join(tunes), encoding="utf-8")
    return MusicFile(path, str(path), collection)
