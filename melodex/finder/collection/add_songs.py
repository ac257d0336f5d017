"""Add songs to the catalogue from files, folders and bundled collections."""

import os
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path

from melodex.index.intake.build import add_files
from melodex.index.store import Catalogue
from melodex.model.results.addition import AddProgress, AddReport
from melodex.parsing import corpus_walk
from melodex.parsing.corpus_walk import bundled_files, music_files
from melodex.parsing.formats import SUFFIXES
from melodex.parsing.given_path import FilePath, path_of

READABLE = tuple(sorted(SUFFIXES))
"""The suffixes of files that can be read."""


def bundled_terms(names: Iterable[str]) -> list[Path]:
    """Return the files, in the installed music21, that state the terms of bundled collections."""
    return corpus_walk.bundled_terms(names)


def add_songs(
    catalogue: Catalogue,
    paths: FilePath | Iterable[FilePath] = (),
    *,
    bundled: str | Sequence[str] = (),
    progress: Callable[[AddProgress], None] = lambda _: None,
) -> AddReport:
    """Read music files into the catalogue; files that have not changed are not read again.

    A tune that cannot be read is listed in the report; the others are added all the same.

    Parameters
    ----------
    paths : path, or several
        Files and folders, as text or Path; folders are walked to any depth.
    bundled : str, or several
        Names of collections that music21 carries: "oneills1850", "essenFolksong", ...
    progress : callable
        Called with an ``AddProgress`` after each file read: ``file``, ``files_done``,
        ``files_total``, ``bytes_done``, ``bytes_total``.

    Returns
    -------
    AddReport
        ``added``, ``updated``, ``unchanged``, ``removed``: numbers of songs, the last of those no
        longer in their files. ``failed``: what could not be read, each with ``file``, ``tune``,
        ``line`` and ``reason``. ``remarks``: what a reader assumed or left out, each with
        ``file``, ``song`` and ``text``.

    Raises
    ------
    CatalogueError
        If the catalogue cannot be written.
    MelodexError
        If music21 carries no collection of a name given.

    Examples
    --------
    ::

        report = melodex.add_songs(catalogue, [book, "no such file.abc"])
        for failure in report.failed:
            print(failure.file, failure.tune, failure.reason)
    """
    # numba, which the arrays need, loads while other processes read the files.
    threading.Thread(target=import_module, args=("melodex.index.blocks",)).start()
    names = [bundled] if isinstance(bundled, str) else bundled
    walk = music_files(_paths_of(paths))
    files = [*walk.files, *(file for name in names for file in bundled_files(name))]
    report = add_files(catalogue, files, progress=progress)
    from melodex.index.blocks import load_blocks

    load_blocks(catalogue)  # so that the first search need not wait for the arrays
    return replace(report, failed=(*walk.failures, *report.failed), skipped=walk.skipped)


def _paths_of(given: FilePath | Iterable[FilePath]) -> list[Path]:
    if isinstance(given, str | os.PathLike):
        return [path_of(given)]
    return [path_of(path) for path in given]
