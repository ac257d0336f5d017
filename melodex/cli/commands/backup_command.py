"""The commands `backup` and `check`."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, JsonOption
from melodex.cli.output import print_json
from melodex.cli.progress import step_by_step
from melodex.cli.terminal import counted, notice, print_lines

if TYPE_CHECKING:
    from melodex.model.results.catalogue_check import CatalogueCheck

_MOST_LISTED = 10  # files or faults; --json has all


def backup(
    copy: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="The file to write; an earlier backup is replaced."),
    ],
    catalogue: CatalogueOption = None,
) -> None:
    """Copy the catalogue to FILE, even while it is in use.

    FILE is a catalogue of its own: songs with their levels, tags and corrections, kept licks, and
    the plans, students and sets saved in the browser. Music files, and plans and students in files
    of your own, are not in it. To restore a backup, copy it over the catalogue's file, whose path
    `melodex check` prints.

    Examples
    --------
    melodex backup songs-backup.db
    melodex backup my-songs.db --catalogue songs-backup.db
    """
    from melodex.finder.collection.check_catalogue import back_up
    from melodex.index.store import open_catalogue

    with (
        open_catalogue(catalogue_path(catalogue)) as opened,
        step_by_step("Copying", "pages") as progress,
    ):
        back_up(opened, copy, progress=progress)
        songs = len(opened.song_ids())
    print_lines(f"Copied to {copy}: {counted(songs, 'song')}.")


def check(catalogue: CatalogueOption = None, as_json: JsonOption = False) -> None:
    """Check the catalogue for damage, and list the music files that changed since they were read.

    Every song is read and compared with its checksum. The exit code is 1 if something is damaged.

    Examples
    --------
    melodex check
    melodex check --catalogue songs-backup.db
    """
    from melodex.finder.collection.check_catalogue import check_catalogue
    from melodex.index.store import open_catalogue

    path = catalogue_path(catalogue)
    with open_catalogue(path) as opened, step_by_step("Reading", "songs") as progress:
        found = check_catalogue(opened, progress=progress)
    if as_json:
        print_json(asdict(found))
    else:
        _print_check(found, path)
    if not found.sound:
        raise typer.Exit(1)


def _print_check(found: "CatalogueCheck", path: Path) -> None:
    songs = counted(found.songs, "song")
    if found.sound:
        print_lines(f"The catalogue {path} is sound: {songs}.")
    else:
        print_lines(f"The catalogue {path} is damaged; it lists {songs}.")
        lines = [f"  {fault.problem} Next: {fault.next_step}" for fault in found.faults]
        print_lines(*_first(lines))
    if found.changed_files:
        print_lines("Changed since they were read; add them again to read them:")
        print_lines(*_first([f"  {file}" for file in found.changed_files]))
    if found.missing_files:
        print_lines("Missing; their songs stay in the catalogue:")
        print_lines(*_first([f"  {file}" for file in found.missing_files]))
    if len(found.faults + found.changed_files + found.missing_files) > _MOST_LISTED:
        notice("melodex check --json lists them all.")


def _first(lines: list[str]) -> list[str]:
    more = len(lines) - _MOST_LISTED
    return [*lines[:_MOST_LISTED], *([f"  and {more} more"] if more > 0 else [])]
