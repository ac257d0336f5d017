"""Write a plan as a TOML file that a person can edit, and read it again."""

import json
import math
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from pathlib import Path
from typing import Any, cast

from melodex.errors import PlanError, QueryError, ScoreParseError, SongNotFoundError
from melodex.model.results.lesson import Lesson, LessonPlan, Limits, Review
from melodex.parsing.file_content import decode_text, explain_os_error, read_bounded
from melodex.whole_files import written_whole

_HEADING = """\
# A lesson plan of melodex. Move or remove lessons, or add others by their song's id or title; then
# `melodex lessons --plan FILE` reports how good the edited plan is, and with --again orders the
# songs anew, except lessons with keep = true.
#
# Limits, all optional: level_step (a number), new_at_most (quarter notes of new material in a
# lesson), must_come, must_not_come (songs), before (pairs of songs), first, last (a song each),
# review_every (every n-th lesson is a review), in_turn (tags or other facts of songs that the
# lessons cycle through), first_date (of weekly lessons: 2027-01-11), skip (a list of days in whose
# weeks there is no lesson).
"""
LESSON, LIMITS = "lesson", "limits"
NEW_AT_MOST, IN_TURN = "new_at_most", "in_turn"
# Plans written until November 2026 limit new material in measures, as "most_new"; converted as
# measures of 4/4.
OLD_MOST_NEW, OLD_MEASURE = "most_new", 4
_AT_LINE = re.compile(r"\bline (\d+)")
_TWO = 2


@dataclass(frozen=True, slots=True)
class PlanFile:
    """The content of a plan's file; songs by id."""

    songs: tuple[str, ...]
    limits: Limits


def write_plan(path: Path, plan: LessonPlan) -> None:
    """Write a plan and its limits; an existing file is replaced.

    Raises
    ------
    PlanError
        If the file cannot be written.
    """
    try:
        with written_whole(path) as part:
            part.write_text(plan_text(plan), encoding="utf-8")
    except OSError as error:
        raise PlanError(
            f"Cannot write {path}: {explain_os_error(error)}.", "choose another file or folder."
        ) from error


def plan_text(plan: LessonPlan) -> str:
    """Return the text of a plan's file, with its limits."""
    limits = plan.limits
    kept = {song for _, song in limits.kept}
    lines = [_HEADING, f"[{LIMITS}]"]
    for field in fields(limits):
        value = getattr(limits, field.name)
        if value not in (None, ()) and field.name not in {"lessons", "kept"}:
            name = NEW_AT_MOST if field.name == "most_new" else field.name
            lines.append(f"{name} = {_toml(value)}")
    reviews = {review.lesson: review for review in plan.reviews}
    for lesson in plan.lessons:
        lines += ["", f"[[{LESSON}]]  # {_numbered(lesson)}"]
        lines += [f"song = {_toml(lesson.song)}", f"title = {_toml(lesson.title)}"]
        lines += ["keep = true"] * (lesson.song in kept)
        if review := reviews.get(lesson.lesson + 1):
            lines += ["", f"# {_numbered(review)}: a review."]
    return "\n".join(lines) + "\n"


def _numbered(lesson: Lesson | Review) -> str:
    return f"{lesson.lesson}" if lesson.date is None else f"{lesson.lesson}, {lesson.date}"


def _toml(value: object) -> str:
    """Return a number, text, date or list in TOML: JSON, except for dates and one character."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, cast('Sequence[object]', value)))}]"
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def read_plan(path: Path, *, song_named: Callable[[str], str]) -> PlanFile:
    """Read a plan's file.

    Parameters
    ----------
    song_named : callable
        Returns the id of the song that a name refers to, or raises a SongNotFoundError.

    Raises
    ------
    PlanError
        If the file cannot be read, contains an unknown song, a song twice, or anything else that is
        not valid; the message names the line.
    """
    return plan_from_text(_text_of(path), str(path), song_named=song_named)


def plan_from_text(text: str, name: str, *, song_named: Callable[[str], str]) -> PlanFile:
    """Parse the text of a plan's file as ``read_plan`` does.

    Parameters
    ----------
    name : str
        The name of the text in errors.

    Raises
    ------
    PlanError
        As for ``read_plan``.
    """
    reader = _Reader(name, text.splitlines(), song_named)
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        at_line = _AT_LINE.search(str(error))
        line = int(at_line[1]) if at_line else max(1, len(reader.lines))
        raise reader.mistake(line, "this is not valid TOML") from error
    for key in document.keys() - {LESSON, LIMITS}:
        raise reader.mistake(reader.line_of(key), f"{key!r} has no meaning in a plan")
    songs, kept = reader.lessons(document.get(LESSON, []))
    limits = reader.limits(document.get(LIMITS, {}))
    numbered = tuple((limits.lesson_of(place), song) for place, song in kept)
    return PlanFile(songs, replace(limits, kept=numbered))


def _text_of(path: Path) -> str:
    try:
        return decode_text(read_bounded(path, path))
    except ScoreParseError as error:
        raise PlanError(error.problem, "name a plan that melodex lessons --write made.") from error


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads the parts of a plan, keeping track of line numbers."""

    name: str  # of the text, in errors
    lines: list[str]
    song_named: Callable[[str], str]

    def lessons(self, tables: object) -> tuple[tuple[str, ...], tuple[tuple[int, str], ...]]:
        """Return the songs of all lessons, and the indices of those that are kept."""
        if not isinstance(tables, list):
            raise self.mistake(self.line_of(LESSON), "each lesson begins with [[lesson]]")
        songs: list[str] = []
        kept: list[tuple[int, str]] = []
        for number, entries in enumerate(cast("Sequence[object]", tables), start=1):
            line = self.line_of(LESSON, number)
            if not isinstance(entries, dict):
                raise self.mistake(line, "each lesson begins with [[lesson]]")
            table = cast("Mapping[str, object]", entries)
            song = self.song(table.get("song"), line)
            if song in songs:
                raise self.mistake(line, f"{song} is in lesson {songs.index(song) + 1} already")
            songs.append(song)
            keep = table.get("keep", False)
            if not isinstance(keep, bool):
                raise self.mistake(line, f"keep must be true or false, not {keep!r}")
            kept += [(number - 1, song)] * keep
        return tuple(songs), tuple(kept)

    def limits(self, table: object) -> Limits:
        """Return the limits, with songs by id."""
        if not isinstance(table, dict):
            raise self.mistake(self.line_of(LIMITS), "the limits begin with [limits]")
        limits: dict[str, Any] = {}
        for key, value in cast("Mapping[str, object]", table).items():
            line = self.line_of(key)
            if key not in _KINDS:
                raise self.mistake(line, f"there is no limit {key!r}, only {', '.join(_NAMES)}")
            fits, kind = _KINDS[key]
            if not fits(value):
                raise self.mistake(line, f"{key} must be {kind}")
            if key == OLD_MOST_NEW:
                limits[OLD_MOST_NEW] = cast("float", value) * OLD_MEASURE
                continue
            name = "most_new" if key == NEW_AT_MOST else key
            limits[name] = value if key in _NO_SONGS else self.with_ids(value, line)
        try:
            return Limits(**limits)
        except QueryError as error:  # a number out of range
            reason = error.problem.removesuffix(".")
            raise self.mistake(self.line_of(LIMITS), reason[0].lower() + reason[1:]) from error

    def with_ids(self, value: object, line: int) -> object:
        """Convert names of songs to ids and lists to tuples, recursively."""
        if isinstance(value, list):
            return tuple(self.with_ids(part, line) for part in cast("Sequence[object]", value))
        return self.song(value, line) if isinstance(value, str) else value

    def song(self, name: object, line: int) -> str:
        """Return the id of a song named on a line."""
        if not isinstance(name, str) or not name.strip():
            raise self.mistake(line, "this lesson names no song")
        try:
            return self.song_named(name)
        except SongNotFoundError as error:
            reason = error.problem.removesuffix(".")
            raise self.mistake(line, reason[0].lower() + reason[1:]) from error

    def line_of(self, key: str, occurrence: int = 1) -> int:
        """Return the number, from 1, of the n-th line that begins with a key or header."""
        begins = re.compile(rf"[\s\[\"']*{re.escape(key)}\b")
        found = [number for number, line in enumerate(self.lines, start=1) if begins.match(line)]
        return found[occurrence - 1] if len(found) >= occurrence else 1

    def mistake(self, line: int, reason: str) -> PlanError:
        """Return the error for a line; ``reason`` is lower case without a full stop."""
        return PlanError(
            f"{self.name}, line {line}: {reason}.", "correct that and read the plan again."
        )


def _is_amount(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value < math.inf


def _are_texts(value: object) -> bool:
    return isinstance(value, list) and all(map(_is_text, cast("Sequence[object]", value)))


def _are_pairs(value: object) -> bool:
    return isinstance(value, list) and all(map(_is_pair, cast("Sequence[object]", value)))


def _is_pair(value: object) -> bool:
    return _are_texts(value) and len(cast("Sequence[object]", value)) == _TWO


def _is_text(value: object) -> bool:
    return isinstance(value, str)


def _is_date(value: object) -> bool:
    return isinstance(value, date | str)


def _are_dates(value: object) -> bool:
    return isinstance(value, list) and all(map(_is_date, cast("Sequence[object]", value)))


def _is_count(value: object) -> bool:
    return _is_amount(value) and isinstance(value, int)


_KINDS: dict[str, tuple[Callable[[object], bool], str]] = {
    "level_step": (_is_amount, "a number, 0 or more"),
    NEW_AT_MOST: (_is_amount, "a number of quarter notes, 0 or more"),
    OLD_MOST_NEW: (_is_amount, "a number of measures, 0 or more"),
    "must_come": (_are_texts, "a list of songs"),
    "must_not_come": (_are_texts, "a list of songs"),
    "before": (_are_pairs, "a list of pairs of songs"),
    "first": (_is_text, "a song"),
    "last": (_is_text, "a song"),
    "review_every": (_is_count, "a whole number of lessons, 2 or more"),
    IN_TURN: (_are_texts, "a list of tags or other facts"),
    "first_date": (_is_date, "a date, such as 2027-01-11"),
    "skip": (_are_dates, "a list of dates, such as [2027-02-15]"),
}
_NO_SONGS = (IN_TURN, "first_date", "skip")
_NAMES = [name for name in _KINDS if name != OLD_MOST_NEW]
