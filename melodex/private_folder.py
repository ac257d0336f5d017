"""A folder of this user's own among the system's temporary files, for what can be made again."""

import os
import stat
import sys
import tempfile
from pathlib import Path


def private_folder(*, make: bool = True) -> Path | None:
    """Return the folder, made where it is missing; None where there is none that can be trusted.

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
