"""The pages for teaching: lesson plans, what a student can play, and audits."""

from dataclasses import replace

from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import MelodexError, QueryError
from melodex.finder.plan_lessons import SECONDS, with_song_ids
from melodex.model.catalogue import EVERY_SONG
from melodex.web.forms import NOTHING_SENT, Fields, limits_set, songs_meant
from melodex.web.job_pages import outcome, see
from melodex.web.jobs import State
from melodex.web.pages import page
from melodex.web.refusals import Refusal, status_of
from melodex.web.site import site_of
from melodex.web.song_pages import FILTERS, choices_among
from melodex.web.student_table import student_table
from melodex.web.work import (
    ask_of_student,
    audit_songs,
    judge,
    plan,
    plan_again,
    write_handouts,
)

_PLAN = "lessons"  # the kind of job that makes one
LONGEST_SECONDS = 600  # a plan may be looked for
_LIMITS = (
    *("lessons", "level_step", "most_new", "review_every", "first", "last"),
    *("must_come", "must_not_come", "before", "in_turn", "first_date", "skip"),
)
_OF_PLAN = (*FILTERS, *_LIMITS, "student", "seconds")
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
        _PLAN,
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
    """Begin to judge a plan that was re-ordered by hand, to print it, or to order it anew."""
    site = site_of(request)
    songs = _order_by_hand(fields)
    with site.catalogue() as catalogue:
        limits = with_song_ids(catalogue, limits_set(fields))
    kept = [
        (limits.lesson_of(songs.index(song)), song)
        for song in fields.texts("keep")
        if song in songs
    ]
    limits = replace(limits, lessons=None, kept=tuple(sorted(kept)))
    asked: dict[str, object] = {
        "songs": songs,
        "limits": limits,
        "student": fields.text("student"),
    }
    match fields.line("do"):
        case "again":
            asked["seconds"] = SECONDS
            job = site.jobs.start(plan_again, _PLAN, "Ordering lessons anew", asked)
        case "handouts":
            job = site.jobs.start(write_handouts, "handouts", "Writing handouts", asked)
        case _:
            job = site.jobs.start(judge, _PLAN, "Looking at this order", asked)
    return see(job)


def plan_again_as_sent(request: Request, fields: Fields, problem: MelodexError) -> Response:
    """Show the plan that was re-ordered, with the order as it was sent; raise if it is gone."""
    number = fields.as_sent("job")["job"]
    try:
        done = site_of(request).jobs.job(int(number))
    except (ValueError, Refusal):
        raise problem from None
    if done.kind != _PLAN or done.standing.state is not State.DONE:
        raise problem
    places = [f"place-{song}" for song in fields.all_as_sent("song")]
    sent = {**fields.as_sent(*places), "keep": fields.all_as_sent("keep")}
    return outcome(request, done, sent, problem)


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
