"""What runs in the process of a job: one piece of work, and word of how far it is."""

import os
import pickle
import sys
import threading
from typing import IO

from melodex.errors import MelodexError


def perform() -> None:
    """Do the work that is asked for on standard input, and answer on standard output."""
    # Whatever a library prints must not get between the answers.
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    work, catalogue, folder, asked = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the server
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    try:
        result = work(catalogue, folder, lambda progress: _tell(answers, progress), **asked)
    except MelodexError as error:
        _tell(answers, error)
    else:
        _tell(answers, (result,))


def _end_with_the_server() -> None:
    """Wait for the end of standard input, which comes when the server ends."""
    sys.stdin.buffer.read()
    os._exit(1)


def _tell(answers: IO[bytes], message: object) -> None:
    answers.write(pickle.dumps(message))
    answers.flush()
