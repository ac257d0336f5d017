"""Become a user without rights for a while."""

import contextlib
import os
from collections.abc import Iterator

_NOBODY = 65534  # the user without rights; a common practice of Unix systems


@contextlib.contextmanager
def as_an_ordinary_user() -> Iterator[None]:
    """Give up the superuser's rights, which would make every test of permissions pass."""
    if os.geteuid():
        yield
        return
    os.seteuid(_NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
