"""Check whether a catalogue is sound and agrees with its files, and make a backup of it."""

from collections.abc import Callable

from melodex.index import backup
from melodex.index.intake.file_changes import file_changes
from melodex.index.soundness import faults_of
from melodex.index.store import Catalogue
from melodex.model.results.catalogue_check import CatalogueCheck
from melodex.parsing.given_path import FilePath, path_of


def _no_progress(_done: int, _all: int) -> None:
    """Report nothing."""


def check_catalogue(
    catalogue: Catalogue, *, progress: Callable[[int, int], None] = _no_progress
) -> CatalogueCheck:
    """Read all of a catalogue, and compare the files it was read from.

    Parameters
    ----------
    progress : function
        Called with the songs read and all songs.

    Returns
    -------
    CatalogueCheck
        ``sound``, whether nothing is damaged; ``songs``, how many there are; ``faults``, each with
        ``problem``, ``song`` (None if it is not one song's) and ``next_step``; ``changed_files``,
        which differ from what was read, and ``missing_files``, which are no longer where they were.

    Raises
    ------
    CatalogueError
        If the damage is such that no songs can be listed.

    Examples
    --------
    ::

        for fault in melodex.check_catalogue(catalogue).faults:
            print(fault.problem, fault.next_step)
    """
    faults = tuple(faults_of(catalogue, progress))
    changes = file_changes(catalogue)
    return CatalogueCheck(
        sound=not faults,
        songs=len(catalogue.song_ids()),
        faults=faults,
        changed_files=changes.changed,
        missing_files=changes.missing,
    )


def back_up(
    catalogue: Catalogue,
    path: FilePath,
    *,
    progress: Callable[[int, int], None] = _no_progress,
) -> None:
    """Copy a catalogue, as it stands now, to a file that is a catalogue of its own.

    Others may read and write the catalogue meanwhile. The copy is checked before it takes the
    place of an earlier backup. Students' files, plans and music files are not part of a catalogue.

    Parameters
    ----------
    path : str or path
        The file to write; an earlier backup of that name is replaced.
    progress : function
        Called with the pages copied and all pages.

    Raises
    ------
    CatalogueError
        If the file is the catalogue itself, something other than a catalogue, or in use; if it
        cannot be written; if the catalogue is damaged.

    Examples
    --------
    ::

        melodex.back_up(catalogue, folder / "songs-backup.db")
    """
    backup.back_up(catalogue, path_of(path), progress)
