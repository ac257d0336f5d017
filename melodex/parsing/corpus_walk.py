"""Find the music files in the files and folders a user names, and in music21's corpus."""

import importlib.util
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from melodex.errors import MelodexError
from melodex.model.reading import Failure
from melodex.parsing.file_content import explain_os_error
from melodex.parsing.formats import SUFFIXES, is_music, unknown_suffix


@dataclass(frozen=True, slots=True)
class MusicFile:
    """A file to read, and the name that the catalogue shows for it."""

    path: Path
    shown_as: str  # the path as the user named it, or "essenFolksong/altdeu10.abc"
    collection: str  # the name of the folder that holds the file


@dataclass(frozen=True, slots=True)
class Walk:
    """The result of a walk through folders."""

    files: tuple[MusicFile, ...]
    failures: tuple[Failure, ...] = ()  # paths that cannot be opened or read
    skipped: int = 0  # number of files inside folders that are not music, judged by suffix


def music_files(paths: Iterable[Path]) -> Walk:
    """List the music files among some paths, and in folders among them, at any depth.

    Folders are walked in the order of their names. Hidden files and folders are skipped, and so are
    folders already walked (links can form a circle); each file is listed once.

    Parameters
    ----------
    paths : iterable of Path
        Files and folders, as the user named them.

    Returns
    -------
    Walk
        A file that was named but is of an unknown kind, a path that does not exist, and a folder
        that may not be opened are failures; files of other kinds inside folders are only counted.
    """
    walker = _Walker()
    for path in paths:
        walker.visit(path)
    return Walk(tuple(walker.files), tuple(walker.failures), walker.skipped)


def bundled_names() -> list[str]:
    """Return the names of the music21 collections that melodex can read, sorted."""
    folders = sorted(path for path in _bundled_root().iterdir() if path.is_dir())
    return [folder.name for folder in folders if any(_readable(folder))]


def bundled_files(name: str) -> list[MusicFile]:
    """List the files of a collection in music21's corpus, sorted, without loading music21.

    Raises
    ------
    MelodexError
        If music21 has no collection of that name.
    """
    known = bundled_names()
    if name not in known:
        raise MelodexError(
            f"music21 carries no collection named {name!r}.",
            f"name one of these: {', '.join(known)}.",
        )
    root = _bundled_root()
    return [
        MusicFile(path, path.relative_to(root).as_posix(), collection=name)
        for path in sorted(_readable(root / name))
    ]


def bundled_terms(names: Iterable[str]) -> list[Path]:
    """Return the files with the licence terms of some bundled collections.

    The first is music21's own, which covers all of them ("Some encodings included in the corpus may
    not be used for commercial uses or have other restrictions"); a collection may add its own.
    """
    root = _bundled_root()
    folders = (root, *(root / name for name in names))
    return [path for folder in folders if (path := folder / "license.txt").is_file()]


def _bundled_root() -> Path:
    # Looking up "music21.corpus" would import music21, which takes as long as a whole search.
    spec = importlib.util.find_spec("music21")
    if spec is None or not spec.submodule_search_locations:
        raise MelodexError(
            "The package music21, which carries the bundled collections, is not installed.",
            "install melodex again with its dependencies.",
        )
    return Path(spec.submodule_search_locations[0]) / "corpus"


def _readable(folder: Path) -> Iterator[Path]:
    return (path for path in folder.rglob("*") if is_music(path))


class _Walker:
    """The state of one walk."""

    def __init__(self) -> None:
        self.files: list[MusicFile] = []
        self.failures: list[Failure] = []
        self.skipped = 0
        self._seen: set[str] = set()

    def visit(self, path: Path) -> None:
        """Visit a path that the user named."""
        try:
            path.stat()
        except OSError as error:
            self._fail(path, explain_os_error(error))
            return
        if path.is_dir():
            self._walk_folder(path)
        elif path.suffix.lower() in SUFFIXES:
            self._take(path)
        else:
            self._fail(path, unknown_suffix(path.suffix))

    def _walk_folder(self, folder: Path) -> None:
        pending = [folder]  # a stack; folders may be nested deeper than Python's call stack allows
        while pending:
            path = pending.pop()
            if path.is_dir():
                pending += reversed(self._content_of(path))
            elif is_music(path):
                self._take(path)
            else:
                self.skipped += 1

    def _content_of(self, folder: Path) -> list[Path]:
        """List a folder that has not been walked yet, sorted by name."""
        if not self._is_new(folder):
            return []
        try:
            paths = sorted(path for path in folder.iterdir() if not path.name.startswith("."))
            for path in paths:
                path.is_dir()  # raises if the folder may be listed but not entered
        except OSError as error:
            self._fail(folder, explain_os_error(error))
            return []
        return paths

    def _take(self, path: Path) -> None:
        if self._is_new(path):
            collection = path.absolute().parent.name
            self.files.append(MusicFile(path, str(path), collection))

    def _is_new(self, path: Path) -> bool:
        real = os.path.realpath(path)  # Path.resolve raises where links lead in a circle
        is_new = real not in self._seen
        self._seen.add(real)
        return is_new

    def _fail(self, path: Path, reason: str) -> None:
        self.failures.append(Failure(file=str(path), tune="", line=None, reason=reason))
