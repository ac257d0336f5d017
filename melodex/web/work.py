"""The long work itself: functions that run in the process of a job.

Each takes the catalogue's file, a folder of its own for files, a way to tell how far it is, and
what was asked for; and returns what its page shows.
"""

import contextlib
import threading
import time
from collections.abc import Callable, Generator, Sequence
from pathlib import Path
from typing import NamedTuple

from melodex.errors import MelodexError
from melodex.finder.add_songs import add_songs
from melodex.finder.audit import audit
from melodex.finder.known_material import known_material
from melodex.finder.next_songs import next_songs
from melodex.finder.open_catalogue import open_catalogue
from melodex.finder.plan_lessons import order_again, plan_lessons
from melodex.finder.recurring_licks import recurring_licks
from melodex.model.addition import AddProgress, AddReport
from melodex.model.audit import Audit
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.known import KnownMaterial, NextSong
from melodex.model.lesson import LessonPlan, Limits
from melodex.model.recurring import RecurringLick
from melodex.report.audit_plots import draw_overview
from melodex.web.jobs import Progress
from melodex.web.student_table import table_file

Report = Callable[[Progress], None]
_PAUSE_SECONDS = 0.5  # between two words of how far the clock is


class Pictures(NamedTuple):
    """An audit, and the names of the pictures drawn of it."""

    audit: Audit
    pictures: list[str]


class StudentAnswer(NamedTuple):
    """What a student can play of one song, where one was asked for, and what comes next."""

    known: KnownMaterial | None
    next: list[NextSong]


def add(catalogue: Path, folder: Path, report: Report, *, files: Sequence[Path]) -> AddReport:
    """Read files into the catalogue."""
    del folder  # what is uploaded is kept beside the catalogue

    def tell(now: AddProgress) -> None:
        words = f"{now.files_done} of {now.files_total} files read"
        report(Progress(words, now.bytes_done / max(now.bytes_total, 1)))

    with open_catalogue(catalogue) as opened:
        return add_songs(opened, files, progress=tell)


def list_licks(
    catalogue: Path,
    folder: Path,
    report: Report,
    *,
    which: SongFilter,
    limit: int,
    chord: str | None,
) -> list[RecurringLick]:
    """List the licks that recur."""
    del folder
    with open_catalogue(catalogue) as opened:
        songs = len(opened.song_ids(which))
        report(Progress(f"comparing {songs} songs with each other"))
        return recurring_licks(opened, limit=limit, chord=chord, which=which)


def plan(
    catalogue: Path,
    folder: Path,
    report: Report,
    *,
    which: SongFilter = EVERY_SONG,
    order: Sequence[str] = (),
    limits: Limits,
    student: str,
    seconds: float,
) -> LessonPlan:
    """Plan lessons for some songs; or order those given anew, but for the lessons kept."""
    with open_catalogue(catalogue) as opened, _clock(report, seconds), table_file(folder, student) as csv:
        if order:
            return order_again(opened, order, limits, student=csv, seconds=seconds)
        return plan_lessons(opened, which, limits=limits, student=csv, seconds=seconds)


def ask_of_student(
    catalogue: Path, folder: Path, report: Report, *, student: str, song: str, which: SongFilter
) -> StudentAnswer:
    """Tell what a student can play of a song, and which songs come nearest."""
    with open_catalogue(catalogue) as opened, table_file(folder, student) as csv:
        if csv is None:
            raise MelodexError(
                "Nothing is said of the student.", "paste the table of songs and licks, or choose it."
            )
        report(Progress("looking for licks that are known"))
        known = known_material(opened, song, csv) if song else None
        report(Progress("looking for the songs that come nearest", 0.5))
        return StudentAnswer(known, next_songs(opened, csv, which=which))


def audit_songs(
    catalogue: Path,
    folder: Path,
    report: Report,
    *,
    which: SongFilter,
    against: SongFilter | None,
) -> Pictures:
    """Audit songs and draw what they share."""
    with open_catalogue(catalogue) as opened:
        report(Progress(f"comparing {len(opened.song_ids(which))} songs with each other"))
        found = audit(opened, which, against=against)
    report(Progress("drawing the pictures", 0.9))
    return Pictures(found, [path.name for path in draw_overview(found.overview, folder)])


@contextlib.contextmanager
def _clock(report: Report, seconds: float) -> Generator[None]:
    """Tell how much of the time allowed is over, while something else works."""
    over = threading.Event()

    def tell() -> None:
        began = time.monotonic()
        while not over.wait(_PAUSE_SECONDS):
            gone = time.monotonic() - began
            report(
                Progress(f"looking for the best order, {seconds:g} seconds at most",
                         min(gone / seconds, 1.0))
            )

    thread = threading.Thread(target=tell)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()
