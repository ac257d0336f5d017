"""The pages for teaching: lesson plans, what a student can play, and audits."""

from datetime import date

from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import MelodexError
from melodex.finder.teaching.plan_lessons import SECONDS, with_song_ids
from melodex.index.work_table import checked_name
from melodex.model.catalogue import EVERY_SONG
from melodex.model.weekly_dates import date_in_words
from melodex.web.form_fields import NOTHING_SENT, Fields, limits_set, songs_meant
from melodex.web.pages import page
from melodex.web.refusals import status_of
from melodex.web.routes.job_pages import PLAN, see
from melodex.web.routes.song_pages import FILTERS, choices_among
from melodex.web.site import site_of
from melodex.web.student_table import student_table
from melodex.web.work import (
    ask_of_student,
    audit_songs,
    plan,
)

LONGEST_SECONDS = 600  # a plan may be looked for
_LIMITS = (
    *("lessons", "level_step", "most_new", "review_every", "first", "last"),
    *("must_come", "must_not_come", "before", "in_turn", "first_date", "skip"),
)
_OF_PLAN = (*FILTERS, *_LIMITS, "student", "seconds", "name")
_OF_STUDENT = (*FILTERS, "student", "song")
_OF_AUDIT = (*FILTERS, "by", *(f"against_{name}" for name in FILTERS))


def lessons(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show the form for a plan, filled in as it was sent where there was a problem."""
    fields = sent.as_sent(*_OF_PLAN)
    fields["seconds"] = fields["seconds"] or f"{SECONDS:g}"
    return _form_page(request, "lessons.html", fields, problem)


def begin_plan(request: Request, fields: Fields) -> Response:
    """Begin to plan lessons."""
    site = site_of(request)
    limits = limits_set(fields)
    with site.catalogue() as catalogue:
        limits = with_song_ids(catalogue, limits)  # so that a wrong name is told at once
    job = site.jobs.start(
        plan,
        PLAN,
        "Planning lessons",
        {
            "which": songs_meant(fields),
            "limits": limits,
            "student": student_table(fields),
            "seconds": fields.amount("seconds", lowest=1, highest=LONGEST_SECONDS) or SECONDS,
            "name": checked_name(fields.line("name") or f"Plan of {date_in_words(date.today())}"),
        },
    )
    return see(job)


def student(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show the form for a student's table, filled in as it was sent where there was a problem."""
    return _form_page(request, "student.html", sent.as_sent(*_OF_STUDENT), problem)


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


def audit(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show the form for an audit, filled in as it was sent where there was a problem."""
    return _form_page(request, "audit.html", sent.as_sent(*_OF_AUDIT), problem)


def begin_audit(request: Request, fields: Fields) -> Response:
    """Begin an audit."""
    against = songs_meant(fields, "against_")
    job = site_of(request).jobs.start(
        audit_songs,
        "audit",
        "Auditing songs",
        {
            "which": songs_meant(fields),
            "against": None if against == EVERY_SONG else against,
            "by": fields.line("by") or None,
        },
    )
    return see(job)


def _form_page(
    request: Request, template: str, sent: dict[str, str], problem: MelodexError | None
) -> Response:
    with site_of(request).catalogue() as catalogue:
        choices = choices_among(catalogue)
    values = {"choices": choices, "sent": sent, "problem": problem}
    return page(request, template, values, status=status_of(problem) if problem else 200)
