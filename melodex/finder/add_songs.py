"""Add songs to the catalogue from files, folders and bundled collections."""

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path

from melodex.index.build import add_files
from melodex.index.store import Catalogue
from melodex.model.addition import AddProgress, AddReport
from melodex.parsing import corpus_walk
from melodex.parsing.corpus_walk import bundled_files, music_files
from melodex.parsing.formats import SUFFIXES

READABLE = tuple(sorted(SUFFIXES))
"""The suffixes of files that can be read."""


def bundled_terms(names: Iterable[str]) -> list[Path]:
    """Return the files, in the installed music21, that state the terms of bundled collections."""
    return corpus_walk.bundled_terms(names)


def add_songs(
    catalogue: Catalogue,
    paths: Iterable[Path],
    *,
    bundled: Sequence[str] = (),
    progress: Callable[[AddProgress], None] = lambda _: None,
) -> AddReport:
    """Read music files into the catalogue; what it holds unchanged is not read again.

    Parameters
    ----------
    paths : iterable of Path
        Files and folders; folders are walked.
    bundled : sequence of str
        Names of collections that music21 carries: "oneills1850", "essenFolksong", ...
    progress : callable
        Called after each file that had to be read.

    Returns
    -------
    AddReport
        Numbers of songs, and each tune or file that could not be read, with its reason.

    Raises
    ------
    CatalogueError
        If the catalogue cannot be written.
    MelodexError
        If music21 carries no collection of a name given.
    """
    # numba, which arrays need, loads while other processes read the files.
    threading.Thread(target=import_module, args=("melodex.index.blocks",)).start()
    walk = music_files(paths)
    files = [*walk.files, *(file for name in bundled for file in bundled_files(name))]
    report = add_files(catalogue, files, progress=progress)
    from melodex.index.blocks import load_blocks

    load_blocks(catalogue)  # so that the first search need not wait for the arrays
    return replace(report, failed=(*walk.failures, *report.failed), skipped=walk.skipped)
