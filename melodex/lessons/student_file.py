"""A student's file, or a class's: a list or a CSV of the songs and licks that they can play."""

import difflib
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import NamedTuple

from melodex.errors import SongNotFoundError
from melodex.lessons.taught_lines import BEGINNING, HOW_TO, read_taught
from melodex.model.results.known import Skill
from melodex.parsing.csv_table import read_list_or_table, table_mistake

# Columns; any other is the teacher's own.
STUDENT, SONG, LICK, UP_TO = "student", "song", "lick", "up to measure"
MOST_NAMED = 3  # licks called nearly as one that is not there


class StudentLine(NamedTuple):
    """A line of the file: a song or a lick that a student can play, or both; "" is none."""

    line: int
    student: str
    song: str  # its id
    lick: str  # its name
    up_to: int | None  # the last measure of the song that is known; None: all of it
    taught: date | None = None  # None: nobody noted when


@dataclass(frozen=True, slots=True)
class StudentFile:
    """What a student's file says, line by line."""

    path: Path
    lines: tuple[StudentLine, ...]

    @property
    def songs(self) -> list[str]:
        """The ids of all songs that any student can play, at least in part; sorted."""
        return sorted({line.song for line in self.lines if line.song})

    @property
    def has_licks(self) -> bool:
        """Whether it names any lick."""
        return any(line.lick for line in self.lines)


def read_student_file(path: Path, *, song_named: Callable[[str], str]) -> StudentFile:
    """Read what one student or several can play.

    Parameters
    ----------
    path : Path
        A list of songs (ids or titles), one a line; or a CSV with a column ``song`` or ``lick`` or
        both. A column ``up to measure`` is for songs that are known in part; a column ``student``
        tells the students of a class apart. A line with nothing but a student's name is for one who
        can play nothing yet. Lines such as "taught 2027-01-11: Weir in Spate" may stand in both.
    song_named : callable
        Gives the id of the song that a name means, or raises a SongNotFoundError.

    Raises
    ------
    DescriptionError
        If the file cannot be read, names a song that does not exist, or says something twice; it
        names the line.
    """
    lines: list[StudentLine] = []
    line_of: dict[tuple[str, str, str], int] = {}
    rows, taught = read_list_or_table(path, one_of=(SONG, LICK), notes=BEGINNING)
    for line, cells in rows:
        student, name, lick = (cells.get(column, "") for column in (STUDENT, SONG, LICK))
        song = _song_of(path, line, name, song_named) if name else ""
        if (before := line_of.setdefault((student, song, lick), line)) != line:
            raise table_mistake(path, line, f"it says the same as line {before}")
        up_to = _last_measure(path, line, cells.get(UP_TO, ""), has_song=bool(song))
        lines.append(StudentLine(line, student, song, lick, up_to))
    lines += _taught_lines(path, taught, song_named)
    return StudentFile(path, tuple(lines))


def _taught_lines(
    path: Path, lines: Iterable[tuple[int, str]], song_named: Callable[[str], str]
) -> Iterator[StudentLine]:
    line_of: dict[tuple[object, ...], int] = {}
    for line, text in lines:
        taught = read_taught(text)
        if taught is None:
            raise table_mistake(path, line, f"{text!r} is no line such as {HOW_TO!r}")
        song = "" if taught.is_lick else _song_of(path, line, taught.name, song_named)
        lick = taught.name if taught.is_lick else ""
        if (before := line_of.setdefault((taught.day, taught.student, song, lick), line)) != line:
            raise table_mistake(path, line, f"it says the same as line {before}")
        yield StudentLine(line, taught.student, song, lick, taught.up_to, taught.day)


def skills_in(file: StudentFile, licks: Collection[str]) -> list[Skill]:
    """Gather what each student can play, in the file's order; nothing if it names nobody.

    Raises
    ------
    DescriptionError
        If the file names a lick that is not among those given; it names the line.
    """
    lines_of: dict[str, list[StudentLine]] = {}
    for line in file.lines:
        if line.lick and line.lick not in licks:
            raise table_mistake(file.path, line.line, _no_such_lick(line.lick, licks))
        lines_of.setdefault(line.student, []).append(line)
    return [
        Skill(
            student,
            songs=frozenset(line.song for line in lines if line.song and line.up_to is None),
            licks=frozenset(line.lick for line in lines if line.lick),
            beginnings=tuple((line.song, line.up_to) for line in lines if line.up_to is not None),
        )
        for student, lines in (lines_of or {"": []}).items()
    ]


def _no_such_lick(name: str, licks: Iterable[str]) -> str:
    """Return that there is no such lick, with the nearest: ids of old lists and former names."""
    names = {lick.casefold(): lick for lick in licks}
    as_words = name.casefold().replace("-", " ")
    nearest = [names[each] for each in difflib.get_close_matches(as_words, names, MOST_NAMED)]
    hint = f"; the nearest: {', '.join(map(repr, nearest))}" if nearest else ""
    return f"no lick is called {name!r} (was it renamed?){hint}"


def _song_of(path: Path, line: int, name: str, song_named: Callable[[str], str]) -> str:
    try:
        return song_named(name)
    except SongNotFoundError as error:
        reason = error.problem.removesuffix(".")
        if line == 1:  # of a list, or a header that is none
            reason += f", and no column is called {SONG!r} or {LICK!r}"
        raise table_mistake(path, line, reason[0].lower() + reason[1:]) from error


def _last_measure(path: Path, line: int, cell: str, *, has_song: bool) -> int | None:
    if not cell:
        return None
    if not (cell.isascii() and cell.isdigit()) or not has_song:
        raise table_mistake(path, line, f"{cell!r} is not the number of a measure of a song")
    return int(cell)
