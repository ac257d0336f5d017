"""The long work itself: it runs in the process of a job and returns what a page shows."""

import contextlib
import threading
import time
from collections.abc import Generator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from melodex.errors import PlanError, QueryError
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.song_labels import song_labels
from melodex.finder.given_lick import LickForm, given_lick
from melodex.finder.recurring_licks import recurring_licks
from melodex.finder.reports.report_audit import report_of_audit
from melodex.finder.reports.report_plan import report_of_plan
from melodex.finder.teaching.known_material import known_material
from melodex.finder.teaching.next_songs import next_songs
from melodex.finder.teaching.own_work import change_plan, evaluate_saved, opened_plan, save_plan
from melodex.finder.teaching.plan_lessons import order_again, plan_lessons
from melodex.finder.teaching.repertoire_audit import audit
from melodex.finder.teaching.taught_lessons import reviews_due
from melodex.index.work_table import saved_work
from melodex.model.catalogue import SongFilter
from melodex.model.lick import Lick
from melodex.model.reading import Failure
from melodex.model.results.addition import AddProgress, AddReport
from melodex.model.results.audit import Audit
from melodex.model.results.known import KnownMaterial, NextSong
from melodex.model.results.lesson import Limits
from melodex.model.results.recurring import RecurringLick
from melodex.report.audit_plots import draw_audit
from melodex.report.audit_words import comparison_in_words, overview_in_words
from melodex.report.review_words import due_in_words
from melodex.web.job_process import Desk, Progress
from melodex.web.student_table import StudentTable, table_file

HANDOUTS, AUDIT_REPORT = "handouts.html", "audit.html"
_PAUSE_SECONDS = 0.5  # between two words of how far the clock is


class AuditAnswer(NamedTuple):
    """An audit, its summary, and the names of the pictures drawn of it."""

    audit: Audit
    summary: list[str]
    pictures: list[str]


class StudentAnswer(NamedTuple):
    """What a student can play of one song, where one was named, and what comes next."""

    known: KnownMaterial | None
    next: list[NextSong]
    labels: dict[str, str]  # of songs, by id
    due: list[str]  # reviews, in words


class ListedLick(NamedTuple):
    """A lick that recurs, and its notes in their best form."""

    record: RecurringLick
    lick: Lick


def add(
    desk: Desk, *, files: Sequence[Path], bundled: Sequence[str], refused: Sequence[Failure]
) -> AddReport:
    """Read files and bundled collections; files that were refused before are listed as well."""

    def tell(now: AddProgress) -> None:
        words = f"{now.files_done} of {now.files_total} files read"
        desk.report(Progress(words, now.bytes_done / max(now.bytes_total, 1)))

    report = add_songs(desk.catalogue, files, bundled=bundled, progress=tell)
    return replace(report, failed=(*refused, *report.failed))


def list_licks(desk: Desk, *, which: SongFilter, limit: int, chord: str | None) -> list[ListedLick]:
    """List the licks that recur."""
    desk.report(_comparing(len(desk.catalogue.song_ids(which))))
    records = recurring_licks(desk.catalogue, limit=limit, chord=chord, which=which)
    return [
        ListedLick(record, given_lick(desk.catalogue, LickForm.LISTED, record.lick))
        for record in records
    ]


def plan(
    desk: Desk,
    *,
    which: SongFilter,
    limits: Limits,
    student: StudentTable,
    seconds: float,
    name: str,
) -> str:
    """Plan lessons, save the plan under a name, and return its id."""
    with _clock(desk, seconds), table_file(student.text) as table:
        found = plan_lessons(desk.catalogue, which, limits=limits, student=table, seconds=seconds)
    if not found.lessons:
        raise PlanError(
            "There is no song to plan: none is chosen, or the student knows them all.",
            "choose other songs.",
        )
    return save_plan(desk.catalogue, name, found, student=student.text).work


def plan_again(desk: Desk, *, work: str, seconds: float) -> str:
    """Order the songs of a saved plan anew, but for the lessons that it keeps."""
    opened = opened_plan(desk.catalogue, work)
    songs = [lesson.song for lesson in opened.plan.lessons]
    limits = replace(opened.plan.limits, lessons=None)
    with _clock(desk, seconds), table_file(opened.saved.student) as table:
        found = order_again(desk.catalogue, songs, limits=limits, student=table, seconds=seconds)
    change_plan(desk.catalogue, work, found, evaluated=True)
    return work


def evaluate(desk: Desk, *, work: str) -> str:
    """Evaluate a saved plan as it stands: how good it is, and which limits it breaks."""
    student = saved_work(desk.catalogue, work).student
    with table_file(student) as table:
        evaluate_saved(desk.catalogue, work, table)
    return work


def write_handouts(desk: Desk, *, work: str) -> str:
    """Write a saved plan as handouts, and return the name of their file."""
    evaluate(desk, work=work)
    desk.report(Progress("engraving the songs"))
    text = report_of_plan(desk.catalogue, opened_plan(desk.catalogue, work).plan)
    (desk.folder / HANDOUTS).write_text(text, encoding="utf-8")
    return HANDOUTS


def ask_of_student(
    desk: Desk, *, student: StudentTable, song: str, which: SongFilter
) -> StudentAnswer:
    """Return what a student can play of a song, and which songs come nearest."""
    with table_file(student.text) as table:
        if table is None:
            raise QueryError(
                "The student's table is missing.",
                "choose a saved student, paste a list of songs, or choose a file.",
            )
        desk.report(Progress("looking for passages that are known"))
        known = known_material(desk.catalogue, song, table) if song else None

        def report(done: int, songs: int) -> None:
            desk.report(Progress(f"{done} of {songs} songs compared", done / songs))

        closest = next_songs(desk.catalogue, table, which=which, progress=report)
        labels = song_labels(desk.catalogue)
        due = due_in_words(reviews_due(desk.catalogue, table), labels)
        return StudentAnswer(known, closest, labels, due)


def audit_songs(
    desk: Desk, *, which: SongFilter, against: SongFilter | None, by: str | None
) -> AuditAnswer:
    """Audit songs, draw what they share, and write the report to keep."""

    def report(done: int, songs: int) -> None:
        desk.report(Progress(f"{done} of {songs} songs compared", done / songs))

    desk.report(_comparing(len(desk.catalogue.song_ids(which))))
    found = audit(desk.catalogue, which, against=against, by=by, progress=report)
    desk.report(Progress("drawing the pictures"))
    (desk.folder / AUDIT_REPORT).write_text(report_of_audit(found), encoding="utf-8")
    summary = overview_in_words(found.overview)
    if found.comparison is not None:
        summary = comparison_in_words(found.comparison)
    return AuditAnswer(found, summary, [path.name for path in draw_audit(found, desk.folder)])


def _comparing(songs: int) -> Progress:
    return Progress(f"comparing {songs} songs with each other")


@contextlib.contextmanager
def _clock(desk: Desk, seconds: float) -> Generator[None]:
    """Report the share of the allowed time that has passed while something else works."""
    over = threading.Event()

    def tell() -> None:
        began = time.monotonic()
        while not over.wait(_PAUSE_SECONDS):
            share = min((time.monotonic() - began) / seconds, 1.0)
            desk.report(Progress(f"looking for {seconds:g} seconds at most", share))

    thread = threading.Thread(target=tell)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()
