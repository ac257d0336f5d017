"""Find what is damaged in a catalogue, by reading all of it."""

from collections.abc import Callable, Iterator

from melodex.errors import CatalogueError
from melodex.index.corrections import check_corrections
from melodex.index.kept_licks import kept_licks
from melodex.index.schema import has_own_tables
from melodex.index.store import Catalogue
from melodex.index.work_table import saved_works
from melodex.model.results.catalogue_check import Fault

_MOST_SENTENCES = 10  # of SQLite about its pages; more would say the same
_RESTORE = "restore a backup, or delete the catalogue and add your files again."


def faults_of(
    catalogue: Catalogue, progress: Callable[[int, int], None] = lambda _done, _songs: None
) -> Iterator[Fault]:
    """Yield what is damaged: pages and tables, songs by their checksums, and all that is kept.

    Parameters
    ----------
    progress : function
        Called with the songs read and all songs.

    Raises
    ------
    CatalogueError
        If the damage is such that no songs can be listed.
    """
    yield from _faults_of_the_file(catalogue)
    songs = catalogue.song_ids()
    for done, song in enumerate(songs):
        try:
            catalogue.song(song)
        except CatalogueError as error:
            yield Fault(error.problem, song, error.next_step)
        progress(done + 1, len(songs))
    for what, read in _KEPT.items():
        try:
            read(catalogue)
        except CatalogueError:
            yield Fault(f"Some of the {what} cannot be read.", None, _RESTORE)


def _faults_of_the_file(catalogue: Catalogue) -> Iterator[Fault]:
    with catalogue.reading() as connection:
        pages = connection.execute(f"PRAGMA integrity_check({_MOST_SENTENCES})").fetchall()
        strays = connection.execute("PRAGMA foreign_key_check").fetchall()
        has_tables = has_own_tables(connection)
    for (sentence,) in pages:
        if sentence != "ok":
            yield Fault(f"SQLite says of the file: {sentence}.", None, _RESTORE)
    if strays:
        yield Fault(f"{len(strays)} rows belong to songs that are not there.", None, _RESTORE)
    if not has_tables:
        yield Fault("The tables are not those of a catalogue.", None, _RESTORE)


_KEPT: dict[str, Callable[[Catalogue], object]] = {
    "facts about songs": Catalogue.entries,
    "corrections": check_corrections,
    "kept licks": kept_licks,
    "saved plans, students and sets": saved_works,
}
