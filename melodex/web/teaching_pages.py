"""The pages for teaching: lesson plans, what a student can play, and audits."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import QueryError
from melodex.finder.list_songs import list_songs
from melodex.finder.plan_lessons import SECONDS, judge_order, with_song_ids
from melodex.finder.report_plan import report_of_plan
from melodex.model.catalogue import EVERY_SONG
from melodex.model.lesson import LessonPlan, Limits
from melodex.web.forms import Fields, limits_set, songs_meant
from melodex.web.job_pages import see
from melodex.web.pages import as_file, page
from melodex.web.site import Site, site_of
from melodex.web.song_pages import choices_among
from melodex.web.student_table import student_table, table_file
from melodex.web.work import ask_of_student, audit_songs, plan, plan_again

LONGEST_SECONDS = 600  # a plan may be looked for


def lessons(request: Request) -> Response:
    """Show the form for a plan."""
    return _form_page(request, "lessons.html", {"seconds": SECONDS})


def begin_plan(request: Request, fields: Fields) -> Response:
    """Begin to plan lessons."""
    site = site_of(request)
    limits = limits_set(fields)
    with site.catalogue() as catalogue:
        limits = with_song_ids(catalogue, limits)  # so that a wrong name is told at once
    job = site.jobs.start(
        plan,
        "lessons",
        "Planning lessons",
        {
            "which": songs_meant(fields),
            "limits": limits,
            "student": student_table(fields),
            "seconds": fields.amount("seconds", lowest=1, highest=LONGEST_SECONDS) or SECONDS,
        },
    )
    return see(job)


def reorder(request: Request, fields: Fields) -> Response:
    """Judge a plan that was re-ordered by hand, write it as handouts, or order it anew."""
    site = site_of(request)
    songs = _order_by_hand(fields)
    with site.catalogue() as catalogue:
        limits = with_song_ids(catalogue, limits_set(fields))
    kept = [(songs.index(song) + 1, song) for song in fields.texts("keep") if song in songs]
    limits = replace(limits, lessons=None, kept=tuple(sorted(kept)))
    student = fields.text("student")
    if fields.line("do") == "again":
        asked = {"songs": songs, "limits": limits, "student": student, "seconds": SECONDS}
        job = site.jobs.start(plan_again, "lessons", "Ordering lessons anew", asked)
        return see(job)
    judged = _judged(site, songs, limits, student)
    if fields.line("do") == "handouts":
        with site.searching() as catalogue:
            return as_file(report_of_plan(catalogue, judged), "handouts.html")
    asked = {"student": student, "seconds": SECONDS}
    return page(request, "lessons_done.html", {"result": judged, "asked": asked})


def _judged(site: Site, songs: Sequence[str], limits: Limits, student: str) -> LessonPlan:
    with (
        site.searching() as catalogue,
        TemporaryDirectory() as folder,
        table_file(Path(folder), student) as table,
    ):
        return judge_order(catalogue, songs, limits=limits, student=table)


def _order_by_hand(fields: Fields) -> list[str]:
    """Read the songs in the order of the numbers written beside them, ties as they stood.

    A button beside a song moves it up or down by one; a song without a number is taken out.
    """
    songs = fields.texts("song")
    placed: list[tuple[float, int, str]] = []
    for place, song in enumerate(songs):
        number = fields.amount(f"place-{song}")
        if number is not None:
            placed.append((number, place, song))
    order = [song for _, _, song in sorted(placed)]
    way, _, moved = fields.line("move").partition(":")
    if moved in order and way in {"up", "down"}:
        here = order.index(moved)
        there = max(0, min(len(order) - 1, here + (1 if way == "down" else -1)))
        order.insert(there, order.pop(here))
    if not order:
        raise QueryError("No song is left in the plan.", "leave the numbers of some songs in.")
    return order


def student(request: Request) -> Response:
    """Show the form for a student's table."""
    return _form_page(request, "student.html", {})


def begin_student(request: Request, fields: Fields) -> Response:
    """Begin to tell what a student can play."""
    site = site_of(request)
    song = fields.line("song")
    if song:
        with site.catalogue() as catalogue:
            song = catalogue.resolve(song)
    job = site.jobs.start(
        ask_of_student,
        "student",
        "Looking at what the student can play",
        {"student": student_table(fields), "song": song, "which": songs_meant(fields)},
    )
    return see(job)


def audit(request: Request) -> Response:
    """Show the form for an audit."""
    return _form_page(request, "audit.html", {})


def begin_audit(request: Request, fields: Fields) -> Response:
    """Begin an audit."""
    against = songs_meant(fields, "against_")
    job = site_of(request).jobs.start(
        audit_songs,
        "audit",
        "Auditing songs",
        {"which": songs_meant(fields), "against": None if against == EVERY_SONG else against},
    )
    return see(job)


def _form_page(request: Request, template: str, values: dict[str, object]) -> Response:
    with site_of(request).catalogue() as catalogue:
        entries = list_songs(catalogue)
    values |= {"choices": choices_among(entries), "total": len(entries)}
    return page(request, template, values)
