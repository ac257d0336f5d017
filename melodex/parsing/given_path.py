"""Convert the paths that Python callers pass."""

import os
from pathlib import Path
from typing import TypeAlias

from melodex.errors import QueryError, shown

FilePath: TypeAlias = str | os.PathLike[str]
"""The path of a file or folder; a leading ``~`` is the user's own folder."""


def path_of(given: FilePath) -> Path:
    """Return a ``Path`` with ``~`` expanded.

    Raises
    ------
    QueryError
        If ``given`` is not a path.
    """
    try:
        path = Path(given)
    except TypeError:
        raise QueryError(
            f"{shown(given)} is not a path.", "give a text or a pathlib.Path."
        ) from None
    if not str(given) or "\0" in str(given):
        raise QueryError(f"{shown(str(given))} is not a path.", "name a file or folder.")
    try:
        return path.expanduser()
    except RuntimeError:  # ~name without such a user may be a file's own name
        return path
