"""Descriptions: join a CSV of levels, tags and other facts to the songs of a catalogue."""

import csv
import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from melodex.errors import DescriptionError, ScoreParseError
from melodex.index.store import Catalogue
from melodex.model.description import LEVEL, TAGS, DescribeReport, Description, Unmatched
from melodex.parsing.file_content import decode_text, read_bounded

SONG, TITLE = "song", "title"  # the columns that say which song a line describes
_DELIMITERS = ",;\t"
_TAG_SEPARATOR = ";"
_NEXT_STEP = "correct that and run the same command again; nothing has been changed."


class DescribedLine(NamedTuple):
    """A line of the CSV and what it says."""

    line: int  # counted from 1; the header's is usually 1
    named_by: str  # the column that names the song
    description: Description


def describe(catalogue: Catalogue, path: Path) -> DescribeReport:
    """Join a CSV of facts to the songs that its lines name by id or whole title.

    Facts in columns that the CSV does not have stay as they are.

    Returns
    -------
    DescribeReport
        How many songs were described, and the lines that name no song, or more than one.

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
            unmatched.append(Unmatched(line, name, _why_not_one(songs)))
            continue
        if (before := line_of.setdefault(songs[0], line)) != line:
            raise _mistake(path, line, f"{name!r} is the song that line {before} describes")
        descriptions.append(Description(songs[0], description.facts))
    catalogue.describe(descriptions)
    return DescribeReport(len(descriptions), tuple(unmatched))


def read_descriptions(path: Path) -> list[DescribedLine]:
    """Read a CSV of facts about songs.

    A column ``song`` or ``title`` says which song a line describes. ``level`` holds a number,
    ``tags`` are separated by semicolons, and every other column is kept as text. An empty cell
    leaves that fact unset. Commas, semicolons or tabs may separate the cells; the text may be
    UTF-8, UTF-16 or Latin-1.

    Raises
    ------
    DescriptionError
        If the file cannot be read or a line is wrong; it names the line and the column.
    """
    lines = _cells_of_lines(path)
    header_line, header = next(lines)
    columns = [cell.casefold() for cell in header]
    _check_columns(path, header_line, columns)
    return [
        _described_line(path, line, _named_cells(path, line, columns, cells))
        for line, cells in lines
    ]


def _cells_of_lines(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Yield each line's number and its cells, passing over lines without any text."""
    try:
        text = decode_text(read_bounded(path, path))
    except ScoreParseError as error:
        raise DescriptionError(error.problem, "name a CSV file with lines of text.") from error
    first_line = text.lstrip().partition("\n")[0]
    delimiter = max(_DELIMITERS, key=first_line.count)
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter, strict=True)
    line = 1
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if any(cells):
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        raise _mistake(path, line, f"the cells cannot be told apart ({error})") from error


def _check_columns(path: Path, line: int, columns: Sequence[str]) -> None:
    if SONG not in columns and TITLE not in columns:
        raise _mistake(path, line, f"no column is called {SONG!r} or {TITLE!r}")
    for column in columns:
        if column and columns.count(column) > 1:
            raise _mistake(path, line, f"two columns are called {column!r}")


def _named_cells(
    path: Path, line: int, columns: Sequence[str], cells: Sequence[str]
) -> dict[str, str]:
    """Give a line's cells by column; cells that a short line lacks are empty."""
    named = list(itertools.zip_longest(columns, cells[: len(columns)], fillvalue=""))
    nameless = [cell for column, cell in named if not column] + list(cells[len(columns) :])
    for cell in filter(None, nameless):
        raise _mistake(path, line, f"{cell!r} stands in a column without a name")
    return {column: cell for column, cell in named if column}


def _described_line(path: Path, line: int, cells: dict[str, str]) -> DescribedLine:
    song, title = cells.pop(SONG, ""), cells.pop(TITLE, "")
    if not (song or title):
        raise _mistake(path, line, "no song is named")
    facts: dict[str, tuple[float | str, ...]] = {}
    for column, cell in cells.items():
        if not cell:
            facts[column] = ()
        elif column == LEVEL:
            facts[column] = (_level(path, line, cell),)
        elif column == TAGS:
            facts[column] = _tags(cell)
        else:
            facts[column] = (cell,)
    return DescribedLine(line, SONG if song else TITLE, Description(song or title, facts))


def _level(path: Path, line: int, cell: str) -> float:
    try:
        level = float(cell.replace(",", "."))  # "2,5" as some languages write it
    except ValueError:
        level = math.nan
    if not math.isfinite(level):
        raise _mistake(path, line, f"{cell!r} in column {LEVEL!r} is not a number")
    return level


def _tags(cell: str) -> tuple[str, ...]:
    tags = [tag.strip() for tag in cell.split(_TAG_SEPARATOR)]
    return tuple({tag.casefold(): tag for tag in tags if tag}.values())


def _looked_up(
    lines: Iterable[DescribedLine], titles: Iterable[tuple[str, str]]
) -> Iterator[tuple[DescribedLine, Sequence[str]]]:
    """Give each line the ids of the songs it names: an id in column "song", else a title."""
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


def _why_not_one(songs: Sequence[str]) -> str:
    if not songs:
        return "no song has this id or title"
    return f"{len(songs)} songs have this title ({', '.join(songs)}); name one by its id"


def _mistake(path: Path, line: int, reason: str) -> DescriptionError:
    return DescriptionError(f"{path}, line {line}: {reason}.", _NEXT_STEP)
