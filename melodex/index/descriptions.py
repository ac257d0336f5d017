"""Import a CSV of levels, tags and other facts about the songs of a catalogue."""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from melodex.index.song_names import nearest_titles, songs_in_words
from melodex.index.store import Catalogue
from melodex.model.description import LEVEL, TAGS, DescribeReport, Description, Unmatched
from melodex.parsing.csv_table import read_table, table_mistake

SONG, TITLE = "song", "title"  # columns that identify the song of a line
_TAG_SEPARATOR = ";"
# Similar titles are suggested only for this many lines: each takes 0.16 seconds over 18,000 titles,
# and with more misspellings it is probably the wrong table.
_LINES_WITH_NEAREST = 20


class DescribedLine(NamedTuple):
    """A line of the CSV, parsed."""

    line: int  # counted from 1; the header is usually line 1
    named_by: str  # the column that names the song
    description: Description


def describe(catalogue: Catalogue, path: Path) -> DescribeReport:
    """Add a CSV of facts to the songs that its lines identify by id or whole title.

    Facts that have no column in the CSV stay as they are.

    Returns
    -------
    DescribeReport
        The number of songs described, and the lines that match no song or several.

    Raises
    ------
    DescriptionError
        If the CSV is wrong; nothing is changed then.
    CatalogueError
        If the catalogue cannot be written.
    """
    titles = catalogue.titles()
    descriptions: list[Description] = []
    unmatched: list[Unmatched] = []
    line_of: dict[str, int] = {}
    for (line, _, description), songs in _looked_up(read_descriptions(path), titles):
        name = description.song
        if len(songs) != 1:
            known = titles if len(unmatched) < _LINES_WITH_NEAREST else ()
            unmatched.append(Unmatched(line, name, _mismatch(name, songs, known)))
            continue
        if (before := line_of.setdefault(songs[0], line)) != line:
            raise table_mistake(path, line, f"{name!r} is the same song as in line {before}")
        descriptions.append(Description(songs[0], description.facts))
    catalogue.describe(descriptions)
    return DescribeReport(len(descriptions), tuple(unmatched))


def read_descriptions(path: Path) -> list[DescribedLine]:
    """Read a CSV of facts about songs.

    A column ``song`` or ``title`` identifies the song of a line. ``level`` holds a number, ``tags``
    are separated by semicolons, and every other column is kept as text. An empty cell means that
    the fact is unset. Commas, semicolons or tabs may separate the cells; the text may be UTF-8,
    UTF-16 or Latin-1.

    Raises
    ------
    DescriptionError
        If the file cannot be read, or a line is wrong; the message names the line and the column.
    """
    return [
        _described_line(path, line, cells) for line, cells in read_table(path, one_of=(SONG, TITLE))
    ]


def _described_line(path: Path, line: int, cells: dict[str, str]) -> DescribedLine:
    song, title = cells.pop(SONG, ""), cells.pop(TITLE, "")
    if not (song or title):
        raise table_mistake(path, line, "no song is named")
    try:
        facts = facts_in_cells(cells)
    except ValueError as error:
        raise table_mistake(path, line, str(error)) from None
    return DescribedLine(line, SONG if song else TITLE, Description(song or title, facts))


def facts_in_cells(cells: Mapping[str, str]) -> dict[str, tuple[float | str, ...]]:
    """Return the facts that the cells of a line state, by their columns.

    Raises
    ------
    ValueError
        If a level is not a number; its text says so.
    """
    facts: dict[str, tuple[float | str, ...]] = {}
    for column, cell in cells.items():
        if not cell:
            facts[column] = ()
        elif column == LEVEL:
            facts[column] = (_level(cell),)
        elif column == TAGS:
            facts[column] = tags_in(cell)
        else:
            facts[column] = (cell,)
    return facts


def _level(cell: str) -> float:
    try:
        level = float(cell.replace(",", "."))  # decimal comma, as in "2,5"
    except ValueError:
        level = math.nan
    if not math.isfinite(level):
        raise ValueError(f"{cell!r} in column {LEVEL!r} is not a number")
    return level


def tags_in(cell: str) -> tuple[str, ...]:
    """Return the tags that a cell lists, separated by semicolons, each once."""
    tags = [tag.strip() for tag in cell.split(_TAG_SEPARATOR)]
    return tuple({tag.casefold(): tag for tag in tags if tag}.values())


def _looked_up(
    lines: Iterable[DescribedLine], titles: Iterable[tuple[str, str]]
) -> Iterator[tuple[DescribedLine, Sequence[str]]]:
    """Yield each line with the ids of matching songs: by column "song", else by title."""
    by_title: defaultdict[str, list[str]] = defaultdict(list)
    by_id: dict[str, list[str]] = {}
    for song, title in titles:
        by_title[title.casefold()].append(song)
        by_id[song] = [song]
    for line in lines:
        name = line.description.song
        songs_with_id = by_id.get(name, [])
        songs_with_title = by_title.get(name.casefold(), [])
        if line.named_by == SONG:
            yield line, songs_with_id or songs_with_title
        else:
            yield line, songs_with_title or songs_with_id


def _mismatch(name: str, songs: Sequence[str], titles: Sequence[tuple[str, str]]) -> str:
    if not songs:
        nearest = nearest_titles(name, titles)
        listed = f"; the nearest: {songs_in_words(nearest)}" if nearest else ""
        return f"no song has this id or title{listed}"
    return f"{len(songs)} songs have this title ({', '.join(songs)}); name one by its id"
