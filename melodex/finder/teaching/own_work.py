"""Save plans, students and sets of songs in the catalogue, and open them again."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from melodex.errors import PlanError, QueryError, SongNotFoundError
from melodex.finder.teaching.catalogue_material import no_progress
from melodex.finder.teaching.plan_lessons import judge_order
from melodex.finder.teaching.song_passages import SongProgress
from melodex.finder.teaching.students import students_in
from melodex.index.intake.plain_records import from_plain, to_plain
from melodex.index.song_names import song_named
from melodex.index.store import Catalogue
from melodex.index.work_table import (
    Evaluation,
    change_work,
    free_name,
    keep_evaluation,
    kept_evaluation,
    save_work,
    saved_work,
    work_named,
)
from melodex.lessons.plan_file import plan_from_text, plan_text
from melodex.model.results.lesson import Lesson, LessonPlan, Limits, Stage
from melodex.model.saved_work import SavedWork, WorkKind
from melodex.parsing.file_content import decode_text

_EVALUATED = ("lessons", "stages", "stopped_by_clock", "broken")  # fields of a plan kept as JSON
_SET_HEADER = "song"  # the only column of a set


@dataclass(frozen=True, slots=True)
class OpenedPlan:
    """A saved plan with its songs."""

    saved: SavedWork
    plan: LessonPlan
    is_evaluated: bool  # in its present order; if not, the plan's shares and reasons are invalid
    missing: tuple[str, ...]  # songs that are no longer in the catalogue


def save_text(
    catalogue: Catalogue, kind: WorkKind, name: str, text: str, *, student: str = ""
) -> SavedWork:
    """Save the text of a file: a plan, a student's table, or a list of songs.

    Raises
    ------
    MelodexError
        If the text is not valid (it names the line), or the name is empty or taken.
    """
    return save_work(catalogue, kind, name, checked_text(catalogue, kind, text), student=student)


def change_text(catalogue: Catalogue, work: str, text: str) -> None:
    """Replace the text of a saved plan, student or set.

    Raises
    ------
    MelodexError
        As for ``save_text``.
    """
    kind = saved_work(catalogue, work).kind
    change_work(catalogue, work, checked_text(catalogue, kind, text))


def copy_work(catalogue: Catalogue, work: str) -> SavedWork:
    """Save a copy under the next free name and return it."""
    old = saved_work(catalogue, work)
    name = free_name(catalogue, old.kind, old.name)
    return save_work(catalogue, old.kind, name, old.content, student=old.student)


def checked_text(catalogue: Catalogue, kind: WorkKind, text: str) -> str:
    """Return a text in the form in which it is saved.

    Raises
    ------
    PlanError, DescriptionError, SongNotFoundError, QueryError
        If it is not valid.
    """
    if not text.strip():
        raise QueryError(f"The {kind} is empty.", "write at least one song, or choose a file.")
    text = "\n".join(text.splitlines()) + "\n"
    match kind:
        case WorkKind.PLAN:
            plan_from_text(text, "The plan", song_named=_resolver(catalogue))
            return text
        case WorkKind.STUDENT:
            _songs_in(catalogue, text, "The student's table")
            return text
        case WorkKind.SET:
            return set_text(_songs_in(catalogue, text, "The list of songs"))


def set_text(songs: Sequence[str]) -> str:
    """Return songs, by id, as the text of a set.

    Raises
    ------
    QueryError
        If there are none.
    """
    if not songs:
        raise QueryError("No song is chosen.", "tick the songs of the set.")
    return "\n".join([_SET_HEADER, *dict.fromkeys(songs)]) + "\n"


def add_to_set(catalogue: Catalogue, name: str, songs: Sequence[str]) -> SavedWork:
    """Add songs, by id, to the set of a name, and return it; create the set if there is none.

    Raises
    ------
    QueryError
        If no song of the catalogue is among them, or the name is not valid.
    """
    known = set(catalogue.song_ids())
    there = [song for song in songs if song in known]
    saved = work_named(catalogue, WorkKind.SET, name)
    text = set_text(there)  # raises if there are none
    if saved is None:
        return save_work(catalogue, WorkKind.SET, name, text)
    change_work(catalogue, saved.work, set_text([*songs_of_set(saved), *there]))
    return saved_work(catalogue, saved.work)


def songs_of_set(saved: SavedWork) -> list[str]:
    """Return the ids of a set's songs, in order."""
    return saved.content.splitlines()[1:]


def text_of_upload(content: bytes, name: str) -> str:
    """Return the text of an uploaded file.

    Raises
    ------
    QueryError
        If it is not text.
    """
    if b"\0" in content[:1_000] and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise QueryError(f"The file '{name}' is not text.", "choose a file saved as text or CSV.")
    return decode_text(content)


def save_plan(catalogue: Catalogue, name: str, plan: LessonPlan, *, student: str = "") -> SavedWork:
    """Save a new plan with its evaluation, under its name or the next free one."""
    name = free_name(catalogue, WorkKind.PLAN, name)
    saved = save_work(catalogue, WorkKind.PLAN, name, plan_text(plan), student=student)
    _keep(catalogue, saved, plan)
    return saved


def change_plan(catalogue: Catalogue, work: str, plan: LessonPlan, *, evaluated: bool) -> None:
    """Replace a saved plan.

    Parameters
    ----------
    evaluated : bool
        Whether the plan's shares and reasons are those of its order.
    """
    change_work(catalogue, work, plan_text(plan))
    if evaluated:
        _keep(catalogue, saved_work(catalogue, work), plan)


def opened_plan(catalogue: Catalogue, work: str) -> OpenedPlan:
    """Open a saved plan, with its evaluation if that is up to date.

    Raises
    ------
    WorkNotFoundError
        If there is none.
    PlanError
        If it is not a plan.
    """
    saved = saved_work(catalogue, work)
    if saved.kind is not WorkKind.PLAN:
        raise PlanError(f"'{saved.name}' is not a plan.", "open it from the list of saved work.")
    titles = dict(catalogue.titles())
    file = plan_from_text(saved.content, saved.name, song_named=_resolver(catalogue, lenient=True))
    missing = tuple(song for song in file.songs if song not in titles)
    kept = kept_evaluation(catalogue, work)
    if kept is not None and kept.evaluated == _state(catalogue, saved):
        return OpenedPlan(saved, _evaluated(kept.text, file.limits), True, missing)
    return OpenedPlan(saved, plain_plan(file.songs, file.limits, titles), False, missing)


def plain_plan(songs: Sequence[str], limits: Limits, titles: dict[str, str]) -> LessonPlan:
    """Return an order of songs as a plan that is not evaluated."""
    lessons = [
        Lesson(limits.lesson_of(place), song, titles.get(song, song), None, 0, 0, 0, 0, ())
        for place, song in enumerate(songs)
    ]
    return LessonPlan(tuple(lessons), (), limits)


def evaluate_saved(
    catalogue: Catalogue, work: str, student: Path | None, progress: SongProgress = no_progress
) -> None:
    """Evaluate a saved plan in its present order, and keep the evaluation.

    Parameters
    ----------
    student : Path or None
        The file of the plan's student.

    Raises
    ------
    PlanError
        If one of its songs is no longer in the catalogue.
    DescriptionError
        If the student's file is wrong.
    """
    opened = opened_plan(catalogue, work)
    if opened.missing:
        raise PlanError(
            f"The song '{opened.missing[0]}' of this plan is no longer in the catalogue.",
            "take it out of the plan, or add its file again.",
        )
    songs = [lesson.song for lesson in opened.plan.lessons]
    limits = opened.plan.limits
    plan = judge_order(catalogue, songs, limits=limits, student=student, progress=progress)
    _keep(catalogue, opened.saved, plan)


def _keep(catalogue: Catalogue, saved: SavedWork, plan: LessonPlan) -> None:
    undated = tuple(replace(lesson, date=None) for lesson in plan.lessons)
    values = {name: to_plain(getattr(plan, name)) for name in _EVALUATED}
    text = json.dumps(values | {"lessons": to_plain(undated)})
    keep_evaluation(catalogue, saved.work, Evaluation(text, _state(catalogue, saved)))


def _evaluated(text: str, limits: Limits) -> LessonPlan:
    values: dict[str, Any] = json.loads(text)
    lessons: tuple[Lesson, ...] = from_plain(values["lessons"], tuple[Lesson, ...])
    stages: tuple[Stage, ...] = from_plain(values["stages"], tuple[Stage, ...])
    return LessonPlan(lessons, stages, limits, values["stopped_by_clock"], tuple(values["broken"]))


def _state(catalogue: Catalogue, saved: SavedWork) -> str:
    """Return a hash of everything that an evaluation depends on."""
    parts = json.dumps([saved.content, saved.student, catalogue.melody_version()])
    return hashlib.blake2b(parts.encode(), digest_size=16).hexdigest()


def _resolver(catalogue: Catalogue, *, lenient: bool = False) -> Callable[[str], str]:
    titles = catalogue.titles()
    ids = {song for song, _ in titles}

    def named(name: str) -> str:
        if name in ids:
            return name
        try:
            return song_named(name, titles)
        except SongNotFoundError:
            if not lenient:
                raise
            return name

    return named


def _songs_in(catalogue: Catalogue, text: str, called: str) -> list[str]:
    """Return the songs of a list or table, in order; errors call it ``called``."""
    return [line.song for line in students_in(catalogue, text, called).lines if line.song]
