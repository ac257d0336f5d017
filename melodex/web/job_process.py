"""What runs in the process of a job: one piece of work, and word of how far it is."""

import os
import pickle
import sys
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Concatenate

from melodex.errors import MelodexError
from melodex.finder.collection.open_catalogue import open_catalogue

if TYPE_CHECKING:
    from melodex.index.store import Catalogue


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a job is."""

    doing: str  # a phrase without a full stop
    share: float | None = None  # of the whole, 0 to 1; None where nobody can tell


@dataclass(frozen=True, slots=True)
class Desk:
    """What a piece of work has at hand."""

    catalogue: "Catalogue"
    folder: Path  # for files of its own
    report: Callable[[Progress], None]


Work = Callable[Concatenate[Desk, ...], object]
Request = tuple[Work, Path, Path, Mapping[str, Any]]
"""A piece of work, the catalogue's file, a folder for files, and the keywords."""


def perform() -> None:
    """Do the work that is asked for on standard input, and answer on standard output."""
    # Whatever a library prints must not get between the answers.
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    request: Request = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the server
    work, path, folder, asked = request
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    try:
        with open_catalogue(path) as catalogue:
            desk = Desk(catalogue, folder, lambda progress: _tell(answers, progress))
            result = work(desk, **asked)
    except MelodexError as error:
        _tell(answers, error)
    else:
        _tell(answers, (result,))


def _end_with_the_server() -> None:
    """Wait for the end of standard input, which comes when the server ends."""
    os.read(sys.stdin.fileno(), 1)  # not through a buffer, whose lock would outlive the work
    os._exit(1)


def _tell(answers: IO[bytes], message: object) -> None:
    answers.write(pickle.dumps(message))
    answers.flush()
