"""Become an unprivileged user for a while, or run Python as one."""

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parent.parent
ORDINARY_USER = 65534  # the user without rights; a common practice of Unix systems


@contextlib.contextmanager
def as_an_ordinary_user() -> Iterator[None]:
    """Drop the superuser's rights, with which every test of permissions would pass.

    Files are opened as that user; programs may lie where that user cannot start them.
    """
    if os.geteuid():
        yield
        return
    os.seteuid(ORDINARY_USER)
    try:
        yield
    finally:
        os.seteuid(0)


@contextlib.contextmanager
def open_folder() -> Iterator[Path]:
    """Make a temporary folder in which everybody may do everything."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o777)
        yield Path(name)


def run_as_an_ordinary_user(
    *arguments: str, package: Path = ROOT, user: int = ORDINARY_USER, **variables: str
) -> subprocess.CompletedProcess[str]:
    """Run Python with our packages as a user without rights; skip the test where none can.

    Parameters
    ----------
    package : Path
        The folder that holds melodex.
    user : int
        The number of the user, where the tests run as one who may become another.
    **variables : str
        The environment; there is no other but a path.
    """
    installed = (path for path in sys.path if path.endswith("-packages"))  # site-, dist-
    python_path = os.pathsep.join([str(package), str(ROOT), *installed])
    return subprocess.run(
        [_ordinary_python(), *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=package,  # Python looks there first
        env={"PATH": os.defpath, "PYTHONPATH": python_path, **variables},
        **_identity(user),
    )


def _identity(user: int) -> dict[str, Any]:
    return {} if os.geteuid() else {"user": user, "group": user, "extra_groups": []}


@cache
def _ordinary_python() -> str:
    """Return this Python, or the system's own of the same version if this one lies in a home."""
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    for python in (sys.executable, shutil.which(version, path=os.defpath)):
        with contextlib.suppress(OSError):
            if python:
                subprocess.run([python, "-c", ""], check=True, **_identity(ORDINARY_USER))
                return python
    pytest.skip("a user without rights can run no Python of this version")
