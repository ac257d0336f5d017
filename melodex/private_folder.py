"""Folders of the current user: for data, for a cache, and among the temporary files."""

import os
import stat
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path


def private_folder(*, make: bool = True) -> Path | None:
    """Return a temporary folder for what can be made again; None if there is none to be trusted.

    Anybody may write to the system's temporary folder, and could have made this one in advance;
    compiled code kept in it is run. So it must belong to the user and be closed to all others.
    """
    if sys.platform == "win32":  # temporary files are in the user's profile, like the cache
        return None
    try:
        folder = Path(tempfile.gettempdir()) / f"melodex-{os.geteuid()}"
        if make:
            folder.mkdir(mode=stat.S_IRWXU, exist_ok=True)
        status = folder.lstat()
    except OSError:
        return None
    is_open_to_others = status.st_mode & (stat.S_IRWXG | stat.S_IRWXO)
    is_own = stat.S_ISDIR(status.st_mode) and status.st_uid == os.geteuid()
    return folder if is_own and not is_open_to_others else None


def data_folder() -> Path | None:
    """Return the folder of the user's data; None for a user without a home."""
    import platformdirs  # every search imports this file and does not need it

    return _in_home(platformdirs.user_data_path)


def cache_folder() -> Path | None:
    """Return the folder of the user's cache; None for a user without a home."""
    import platformdirs

    return _in_home(platformdirs.user_cache_path)


def _in_home(folder: Callable[..., Path]) -> Path | None:
    try:
        path = folder("melodex", appauthor=False)
    except RuntimeError:  # older platformdirs return a path relative to here
        return None
    return path if path.is_absolute() else None
