"""Write files so that each is whole at any time: what it was before, or all that is new."""

import contextlib
import os
import secrets
import time
from collections.abc import Generator
from pathlib import Path

_PART = ".part"
_TOKEN_BYTES = 6
_LEFT_BEHIND_SECONDS = 3600.0  # no writer takes so long


@contextlib.contextmanager
def written_whole(path: Path) -> Generator[Path]:
    """Yield a new file in the same folder, to be written; it takes the path's place afterwards.

    It does so only if nothing was raised, and once the disk has it: an interruption, a full disk or
    a power failure leaves the file that was there. What earlier writers of this path left behind is
    removed. The permissions of a file that is replaced are kept. What is no ordinary file, such as
    a pipe, is yielded itself.

    Raises
    ------
    OSError
        If the file cannot be written.
    """
    target = Path(os.path.realpath(path))
    if target.exists() and not target.is_file():
        yield path
        return
    passing = target.with_name(_start_of(target) + secrets.token_hex(_TOKEN_BYTES) + _PART)
    try:
        passing.touch(exist_ok=False)
        yield passing
        with passing.open("rb+") as file:
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            passing.chmod(target.stat().st_mode)
        passing.replace(target)
    finally:
        passing.unlink(missing_ok=True)
    _remove_left_behind(target)


def _start_of(target: Path) -> str:
    """Return the beginning of the names of a file's parts, short enough for any file system."""
    return f".{target.name[:40]}-"


def _remove_left_behind(target: Path) -> None:
    """Remove what writers of a file left that were killed."""
    begun_before = time.time() - _LEFT_BEHIND_SECONDS
    start, length = _start_of(target), 2 * _TOKEN_BYTES
    for other in target.parent.iterdir():
        token = other.name.removeprefix(start).removesuffix(_PART)
        if other.name == f"{start}{token}{_PART}" and len(token) == length:
            with contextlib.suppress(OSError):
                if other.stat().st_mtime < begun_before:
                    other.unlink()
