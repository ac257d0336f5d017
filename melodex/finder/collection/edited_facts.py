"""Edit the described facts of songs: levels, tags, remarks and other columns."""

from collections.abc import Mapping, Sequence

from melodex.errors import QueryError
from melodex.index.descriptions import SONG, TITLE, facts_in_cells, tags_in
from melodex.index.song_filters import described_columns
from melodex.index.song_records import as_utf8
from melodex.index.store import Catalogue
from melodex.model.description import LEVEL, TAGS, Description

REMARK = "remark"  # the column that the song page always offers
LONGEST_COLUMN = 60  # characters; it labels a field
_TAG_SEPARATOR = "; "


def describe_song(catalogue: Catalogue, song: str, cells: Mapping[str, str]) -> None:
    """Replace facts of one song as a line of a CSV would; an empty cell deletes a fact.

    Parameters
    ----------
    song : str
        Its id.
    cells : mapping
        By column; as ``describe_songs`` takes them.

    Raises
    ------
    SongNotFoundError
        If no song has that id.
    QueryError
        If a level is not a number, or a column's name is not valid.
    """
    catalogue.describe([Description(song, _facts(cells))])


def describe_several(
    catalogue: Catalogue, songs: Sequence[str], *, level: str = "", tags: str = ""
) -> None:
    """Set the level of some songs, and add tags, separated by semicolons, to those they have.

    Raises
    ------
    SongNotFoundError
        If no song has one of the ids.
    QueryError
        If no song is chosen, nothing is given, or the level is not a number.
    """
    if not songs:
        raise QueryError("No song is chosen.", "tick the songs to describe.")
    if not (level or tags):
        raise QueryError("There is nothing to describe.", "write a level, or tags.")
    facts = _facts({LEVEL: level} if level else {})
    descriptions: list[Description] = []
    for song in songs:
        had = _TAG_SEPARATOR.join(catalogue.entry(song).tags)
        tagged = {TAGS: tags_in(f"{had}; {tags}")} if tags else {}
        descriptions.append(Description(song, {**facts, **tagged}))
    catalogue.describe(descriptions)


def cells_of(catalogue: Catalogue, song: str) -> dict[str, str]:
    """Return the described facts of a song as cells: level, tags and every column in use.

    Raises
    ------
    SongNotFoundError
        If no song has that id.
    """
    facts = catalogue.facts(song)
    with catalogue.reading() as connection:
        others = described_columns(connection)
    columns = [column for column in others if column != REMARK]
    cells = dict.fromkeys((LEVEL, TAGS, *columns, REMARK), "")
    for column, values in facts.items():
        shown = [f"{value:g}" if isinstance(value, float | int) else value for value in values]
        cells[column] = _TAG_SEPARATOR.join(shown)
    return cells


def column_named(given: str) -> str:
    """Return the name of a column as it is kept, in lower case.

    Raises
    ------
    QueryError
        If it is too long, or names songs.
    """
    column = " ".join(as_utf8(given).split()).casefold()
    if not column or column in {SONG, TITLE} or len(column) > LONGEST_COLUMN:
        raise QueryError(
            f"'{given[:LONGEST_COLUMN]}' cannot be the name of a column.",
            f"write 1 to {LONGEST_COLUMN} characters, not '{SONG}' or '{TITLE}'.",
        )
    return column


def _facts(cells: Mapping[str, str]) -> dict[str, tuple[float | str, ...]]:
    named = {column_named(column): as_utf8(cell.strip()) for column, cell in cells.items()}
    try:
        return facts_in_cells(named)
    except ValueError as error:
        raise QueryError(f"{error}.", "write a number, such as 2 or 2.5.") from None
