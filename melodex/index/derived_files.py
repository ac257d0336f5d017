"""Files derived from a catalogue: kept where this user may keep them, and made again at any time.

Nothing stands in them alone, so whatever is wrong with one makes it a missing one, and where none
can be kept its user does without.
"""

import contextlib
import hashlib
import os
import re
import shutil
import stat
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from melodex.private_folder import cache_folder, private_folder

_Content = TypeVar("_Content")
# Part of a state's name: raise it whenever what is derived from a catalogue changes.
FORMAT = 16
_DIGEST_BYTES = 16
_STATE = re.compile(r"\d+-[0-9a-f]+")  # the number of a format and a state's token


@dataclass(frozen=True, slots=True)
class DerivedFiles:
    """The files that were derived from one state of a catalogue.

    Each place that holds them has a folder for every state: beside the catalogue, where all its
    users share them; in this user's cache; among this user's temporary files.
    """

    catalogue: Path
    state: str

    @classmethod
    def of(cls, catalogue: Path, melody_version: str) -> "DerivedFiles":
        """Return the files of one state of a catalogue's melodies."""
        return cls(catalogue, f"{FORMAT}-{melody_version}")

    def read(self, name: str, read: Callable[[Path], _Content]) -> _Content | None:
        """Read a file from the first place where it is sound; None where it is nowhere.

        Parameters
        ----------
        read : function
            Raises an OSError or a ValueError if the file is missing or damaged.
        """
        for place in self._places(make=False):
            with contextlib.suppress(OSError, ValueError):
                return read(place / self.state / name)
        return None

    def write(self, name: str, content: Iterable[bytes]) -> None:
        """Write a file, whole or not at all, in the first place that takes it, if one does.

        Other states are removed from that place; a reader that has mapped their files keeps them.
        """
        parts = list(content)
        for place in self._places(make=True):
            folder = place / self.state
            model = self.catalogue if place.parent == self.catalogue.parent else None
            with contextlib.suppress(OSError):
                _write_whole(folder / name, parts, model)
                _remove_other_states(folder)
                return

    def hold(self, name: str) -> bool:
        """Return whether a file of that name is in one of the places."""
        return bool(self.read(name, Path.stat))

    def _places(self, *, make: bool) -> Iterator[Path]:
        yield self.catalogue.with_name(self.catalogue.name + ".arrays")
        real = os.fsencode(os.path.realpath(self.catalogue))
        name = hashlib.blake2b(real, digest_size=_DIGEST_BYTES).hexdigest()
        if cache := cache_folder():
            yield cache / "arrays" / name
        if folder := private_folder(make=make):
            yield folder / "arrays" / name


def sealed(text: str) -> bytes:
    """Put a digest before one line of text, so that `unsealed` notices any damage to it."""
    line = text.encode()
    return hashlib.blake2b(line, digest_size=_DIGEST_BYTES).hexdigest().encode() + line + b"\n"


def unsealed(line: bytes) -> str:
    """Return the text of a sealed line.

    Raises
    ------
    ValueError
        If it is not whole and as it was written.
    """
    text = line[2 * _DIGEST_BYTES : -1]
    if line != sealed(text.decode()):
        raise ValueError("the text is damaged")
    return text.decode()


def _write_whole(path: Path, parts: Iterable[bytes], model: Path | None) -> None:
    """Write a file under a passing name and rename it; as open to others as a model, if given."""
    folder = path.parent
    if not folder.is_dir():
        _remove(folder)  # a file in its place
    for each in (folder.parent, folder):
        if not each.is_dir():
            each.mkdir(parents=True, exist_ok=True)
            _share_as(model, each)
    number, name = tempfile.mkstemp(prefix="new-", dir=folder)
    passing = Path(name)
    try:
        with open(number, "wb") as file:  # noqa: PTH123 - opened by its number
            file.writelines(parts)
            file.flush()
            os.fsync(number)  # a power cut must not leave zeros under the final name
        _share_as(model, passing)
        if path.is_dir():
            _remove(path)
        passing.replace(path)
    finally:
        passing.unlink(missing_ok=True)


def _share_as(model: Path | None, path: Path) -> None:
    """Let those use a file or folder who may use a model, as SQLite does with files of its own."""
    if model is None or sys.platform == "win32":
        return
    status = model.stat()
    with contextlib.suppress(OSError):
        os.chown(path, status.st_uid if os.geteuid() == 0 else -1, status.st_gid)
    mode = stat.S_IMODE(status.st_mode)
    may_read = mode & (stat.S_IRUSR | stat.S_IRGRP | stat.S_IROTH)
    path.chmod(mode | may_read >> 2 if path.is_dir() else mode)


def _remove_other_states(folder: Path) -> None:
    for other in folder.parent.iterdir():
        # Nothing but what bears such a name: a link may lead to a folder of another use.
        if other != folder and _STATE.fullmatch(other.name):
            _remove(other)


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with contextlib.suppress(OSError):
            path.unlink()
