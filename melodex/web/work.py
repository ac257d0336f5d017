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
from melodex.finder.reports.report_plan import report_of_plan
from melodex.finder.teaching.known_material import known_material
from melodex.finder.teaching.next_songs import next_songs
from melodex.finder.teaching.own_work import change_plan, evaluate_saved, opened_plan, save_plan
from melodex.finder.teaching.plan_lessons import order_again, plan_lessons
from melodex.finder.teaching.repertoire_audit import audit
from melodex.index.work_table import saved_work
from melodex.model.catalogue import SongFilter
from melodex.model.lick import Lick
from melodex.model.results.addition import AddProgress, AddReport
from melodex.model.results.audit import Audit
from melodex.model.results.known import KnownMaterial, NextSong
from melodex.model.results.lesson import Limits
from melodex.model.results.recurring import RecurringLick
from melodex.report.audit_plots import draw_audit
from melodex.report.audit_words import comparison_in_words, overview_in_words
from melodex.web.job_process import Desk, Progress
from melodex.web.student_table import table_file

HANDOUTS = "handouts.html"
_PAUSE_SECONDS = 0.5  # between two words of how far the clock is


class AuditAnswer(NamedTuple):
    """An audit, its summary, and the names of the pictures drawn of it."""

    audit: Audit
    summary: list[str]
    pictures: list[str]


class StudentAnswer(NamedTuple):
    """What a student can play of one song, where one was asked for, and what comes next."""

    known: KnownMaterial | None
    next: list[NextSong]
    labels: dict[str, str]  # of songs, by id


class ListedLick(NamedTuple):
    """A lick that recurs, and its notes in their best form."""

    record: RecurringLick
    lick: Lick


def add(desk: Desk, *, files: Sequence[Path]) -> AddReport:
    """Read files into the catalogue."""

    def tell(now: AddProgress) -> None:
        words = f"{now.files_done} of {now.files_total} files read"
        desk.report(Progress(words, now.bytes_done / max(now.bytes_total, 1)))

    return add_songs(desk.catalogue, files, progress=tell)


def list_licks(desk: Desk, *, which: SongFilter, limit: int, chord: str | None) -> list[ListedLick]:
    """List the licks that recur."""
    desk.report(_comparing(len(desk.catalogue.song_ids(which))))
    records = recurring_licks(desk.catalogue, limit=limit, chord=chord, which=which)
    return [
        ListedLick(record, given_lick(desk.catalogue, LickForm.LISTED, record.lick))
        for record in records
    ]


def plan(
    desk: Desk, *, which: SongFilter, limits: Limits, student: str, seconds: float, name: str
) -> str:
    """Plan lessons, save the plan under a name, and return its id."""
    with _clock(desk, seconds), table_file(desk.folder, student) as table:
        found = plan_lessons(desk.catalogue, which, limits=limits, student=table, seconds=seconds)
    if not found.lessons:
        raise PlanError(
            "There is no song to plan: none is chosen, or the student knows them all.",
            "choose other songs.",
        )
    return save_plan(desk.catalogue, name, found, student=student).work


def plan_again(desk: Desk, *, work: str, seconds: float) -> str:
    """Order the songs of a saved plan anew, but for the lessons that it keeps."""
    opened = opened_plan(desk.catalogue, work)
    songs = [lesson.song for lesson in opened.plan.lessons]
    limits = replace(opened.plan.limits, lessons=None)
    with _clock(desk, seconds), table_file(desk.folder, opened.saved.student) as table:
        found = order_again(desk.catalogue, songs, limits=limits, student=table, seconds=seconds)
    change_plan(desk.catalogue, work, found, evaluated=True)
    return work


def evaluate(desk: Desk, *, work: str) -> str:
    """Evaluate a saved plan as it stands: how good it is, and which limits it breaks."""
    student = saved_work(desk.catalogue, work).student
    with table_file(desk.folder, student) as table:
        evaluate_saved(desk.catalogue, work, table)
    return work


def write_handouts(desk: Desk, *, work: str) -> str:
    """Write a saved plan as handouts, and return the name of their file."""
    evaluate(desk, work=work)
    desk.report(Progress("engraving the songs"))
    text = report_of_plan(desk.catalogue, opened_plan(desk.catalogue, work).plan)
    (desk.folder / HANDOUTS).write_text(text, encoding="utf-8")
    return HANDOUTS


def ask_of_student(desk: Desk, *, student: str, song: str, which: SongFilter) -> StudentAnswer:
    """Return what a student can play of a song, and which songs come nearest."""
    with table_file(desk.folder, student) as table:
        if table is None:
            raise QueryError(
                "The student's table is missing.",
                "paste a list of songs, or choose a file.",
            )
        desk.report(Progress("looking for passages that are known"))
        known = known_material(desk.catalogue, song, table) if song else None

        def report(done: int, songs: int) -> None:
            desk.report(Progress(f"{done} of {songs} songs compared", done / songs))

        closest = next_songs(desk.catalogue, table, which=which, progress=report)
        return StudentAnswer(known, closest, song_labels(desk.catalogue))


def audit_songs(
    desk: Desk, *, which: SongFilter, against: SongFilter | None, by: str | None
) -> AuditAnswer:
    """Audit songs and draw what they share."""

    def report(done: int, songs: int) -> None:
        desk.report(Progress(f"{done} of {songs} songs compared", done / songs))

    desk.report(_comparing(len(desk.catalogue.song_ids(which))))
    found = audit(desk.catalogue, which, against=against, by=by, progress=report)
    desk.report(Progress("drawing the pictures"))
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
