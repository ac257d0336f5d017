"""The main job on our own songbook, in a catalogue of its own."""

from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from melodex.errors import CatalogueError, MelodexError
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.describe_songs import describe_songs
from melodex.finder.find_lick import find_lick
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.results.addition import AddReport
from melodex.model.results.match import Match
from melodex.search.query import lick_from_abc

SONGBOOK, LEVELS = "songbook", "levels.csv"


@dataclass(frozen=True, slots=True)
class DemoLick:
    """A lick that several songs of the songbook use, and what to listen for."""

    abc: str
    story: str


@dataclass(frozen=True, slots=True)
class DemoSearch:
    """The matches of one lick."""

    story: str
    lick: Lick
    matches: tuple[Match, ...]


SONGS_SHOWN = 8
DEMO_LICKS = (
    DemoLick(
        "M:4/4\nL:1/8\nK:C\nC2 G2 FE D2 | E2 A,2 B,C D2 | G,4 |",
        "A fifth up and steps down, a fifth down and steps up. Which songs use it, in any key?",
    ),
    DemoLick(
        "M:4/4\nL:1/8\nK:G\nDEDB, G,A,E,F, | G,4 |",
        "A fill that ends a phrase. Which songs, and which rolled arrangements, use it?",
    ),
)


def songbook_folder() -> Path:
    """Return the folder of the songbook: within the package, or beside it in a source tree.

    Raises
    ------
    MelodexError
        If it is in neither place.
    """
    package = Path(str(files("melodex")))
    for folder in (package / SONGBOOK, package.parent / "corpus" / SONGBOOK):
        if folder.is_dir():
            return folder
    raise MelodexError("The songbook of the demo is missing.", "install melodex again.")


def prepare_demo_catalogue(catalogue: Catalogue) -> None:
    """Remove the songbook of another installation, which would show every song twice.

    Raises
    ------
    CatalogueError
        If the catalogue holds songs that are not the songbook's.
    """
    folder = songbook_folder()
    names = {path.name for path in folder.iterdir()}
    files = {entry.song: Path(entry.file) for entry in catalogue.entries()}
    others = [
        song
        for song, file in files.items()
        if file.parent.name != SONGBOOK or file.name not in names
    ]
    if others:
        raise CatalogueError(
            f"{catalogue.path} holds songs that are not the demo's, such as {others[0]}.",
            "run the demo without --catalogue, or name a file that does not exist yet.",
        )
    for song, file in files.items():
        if file.parent != folder:
            catalogue.remove(song)


def add_songbook(catalogue: Catalogue) -> AddReport:
    """Add the songbook to a catalogue, with its levels and tags."""
    folder = songbook_folder()
    report = add_songs(catalogue, [folder])
    describe_songs(catalogue, folder / LEVELS)
    return report


def demo_searches(catalogue: Catalogue) -> list[DemoSearch]:
    """Find the demo's licks in a catalogue that holds the songbook."""
    searches: list[DemoSearch] = []
    for demo_lick in DEMO_LICKS:
        lick = lick_from_abc(demo_lick.abc)
        matches = find_lick(catalogue, lick, limit=SONGS_SHOWN)
        searches.append(DemoSearch(demo_lick.story, lick, tuple(matches)))
    return searches
