"""Folders of this user's own: for data, for a cache, and among the system's temporary files."""

import os
import stat
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path


def private_folder(*, make: bool = True) -> Path | None:
    """Return a folder for what can be made again; None where there is none that can be trusted.

    Everybody may write among the temporary files, and could have made this folder before its user
    came; compiled code that is kept there is run. So it must belong to the user, and be closed to
    all others.
    """
    if sys.platform == "win32":  # a user's temporary files lie in their profile, as the cache does
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
    """Return where the user's data lie; None for a user without a home."""
    import platformdirs  # this file is part of every search, which has no use for it

    return _in_home(platformdirs.user_data_path)


def cache_folder() -> Path | None:
    """Return where what can be made again is kept for the user; None for one without a home."""
    import platformdirs

    return _in_home(platformdirs.user_cache_path)


def _in_home(folder: Callable[..., Path]) -> Path | None:
    try:
        path = folder("melodex", appauthor=False)
    except RuntimeError:  # older platformdirs return a path relative to here
        return None
    return path if path.is_absolute() else None
