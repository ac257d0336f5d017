"""Paths as Python programs give them."""

import os
from pathlib import Path
from typing import TypeAlias

from melodex.errors import QueryError

FilePath: TypeAlias = str | os.PathLike[str]
"""The path of a file or folder; a leading ``~`` is the user's own folder."""


def path_of(given: FilePath) -> Path:
    """Return a path as a Path, ``~`` expanded.

    Raises
    ------
    QueryError
        If it is no path.
    """
    try:
        path = Path(given)
    except TypeError:
        raise QueryError(f"{given!r} is not a path.", "give a text or a pathlib.Path.") from None
    if not str(given) or "\0" in str(given):
        raise QueryError(f"{str(given)!r} is not a path.", "name a file or folder.")
    try:
        return path.expanduser()
    except RuntimeError:  # a user unknown to this machine: it may be a file's own name
        return path
