"""Files derived from a catalogue, stored where this user may store them.

They can be computed again at any time, so a damaged file counts as missing, and if none can be
stored melodex works without.
"""

import contextlib
import hashlib
import os
import re
import shutil
import stat
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from melodex.private_folder import cache_folder, private_folder
from melodex.whole_files import written_whole

_Content = TypeVar("_Content")
# Part of a state's name: increment it whenever the content of a derived file changes.
FORMAT = 17
_DIGEST_BYTES = 16
_STATE = re.compile(r"\d+-[0-9a-f]+")  # a format number and a state's token


@dataclass(frozen=True, slots=True)
class DerivedFiles:
    """The files derived from one state of a catalogue.

    Each location has a folder for every state: beside the catalogue, shared by all its users; in
    this user's cache; among this user's temporary files.
    """

    catalogue: Path
    state: str

    @classmethod
    def of(cls, catalogue: Path, melody_version: str) -> "DerivedFiles":
        """Return the files of one state of a catalogue's melodies."""
        return cls(catalogue, f"{FORMAT}-{melody_version}")

    def read(self, name: str, read: Callable[[Path], _Content]) -> _Content | None:
        """Read a file from the first location where it is intact; None if there is none.

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
        """Write a file atomically in the first location that accepts it, if any.

        Other states are removed from that location; processes that have mapped their files can
        still use them.
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
        """Return whether a file of that name is in one of the locations."""
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
    """Prepend a digest to one line of text, so that `unsealed` detects any damage."""
    line = text.encode()
    return hashlib.blake2b(line, digest_size=_DIGEST_BYTES).hexdigest().encode() + line + b"\n"


def unsealed(line: bytes) -> str:
    """Return the text of a sealed line.

    Raises
    ------
    ValueError
        If it was truncated or changed.
    """
    text = line[2 * _DIGEST_BYTES : -1]
    if line != sealed(text.decode()):
        raise ValueError("the text is damaged")
    return text.decode()


def _write_whole(path: Path, parts: Iterable[bytes], model: Path | None) -> None:
    """Write a file, and its folder if it is missing; with a model's permissions, if given."""
    folder = path.parent
    if not folder.is_dir():
        _remove(folder)  # a file may be in its place
    for each in (folder.parent, folder):
        if not each.is_dir():
            each.mkdir(parents=True, exist_ok=True)
            _share_as(model, each)
    if path.is_dir():
        _remove(path)
    with written_whole(path) as passing:
        with passing.open("wb") as file:
            file.writelines(parts)
        _share_as(model, passing)


def _share_as(model: Path | None, path: Path) -> None:
    """Copy a model's permissions to a file or folder, as SQLite does for its own files."""
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
        # Only folders with such a name: a link may lead to a folder used for something else.
        if other != folder and _STATE.fullmatch(other.name):
            _remove(other)


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with contextlib.suppress(OSError):
            path.unlink()
