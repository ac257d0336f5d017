"""The command `demo`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import demo_path
from melodex.cli.terminal import notice, print_lines

if TYPE_CHECKING:
    from melodex.finder.collection.demo import DemoSearch
    from melodex.index.store import Catalogue

_TRY_NEXT = """
Try next
  melodex songs {option}
      what the songbook holds
  melodex find --degrees "3 5 6 5 3 2 1" {option}
      a lick of your own, in any key
  melodex add FOLDER
      your own tunes (ABC, MusicXML, MIDI, kern) in your own catalogue
  melodex add --bundled oneills1850 --bundled ryansMammoth
      some thousands of traditional tunes
"""


def demo(
    catalogue: Annotated[
        Path | None,
        typer.Option(
            "--catalogue",
            metavar="FILE",
            help="A file for the demo's own catalogue; without it, demo.db in your data folder.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Show the main job on our own songbook: find the songs that use a lick.

    It reads an invented songbook into a catalogue of its own, separate from yours, searches for two
    licks and suggests what to try next.

    Examples
    --------
    melodex demo
    """
    from melodex.finder.collection.demo import add_songbook, demo_searches, prepare_demo_catalogue
    from melodex.index.store import open_catalogue

    path = demo_path(catalogue)
    with open_catalogue(path, create=True) as opened:
        prepare_demo_catalogue(opened)
        report = add_songbook(opened)
        print_lines(
            f"The songbook: {report.added + report.updated + report.unchanged} invented songs."
        )
        _print_searches(opened, demo_searches(opened))
    print_lines(*_TRY_NEXT.format(option=f'--catalogue "{path}"').splitlines())


def _print_searches(catalogue: "Catalogue", searches: "list[DemoSearch]") -> None:
    from melodex.cli.printing.match_text import CAUTION, print_match_table, print_notes_of
    from melodex.finder.collection.song_labels import song_labels

    labels = song_labels(catalogue)
    for search in searches:
        print_lines("", search.story, f"  {search.lick.came_from.splitlines()[-1]}", "")
        print_lines(f"The {len(search.matches)} songs that match it best:")
        print_match_table(search.matches, labels)
        print_notes_of(catalogue, search.lick, search.matches[:3], labels)
    notice(CAUTION)
