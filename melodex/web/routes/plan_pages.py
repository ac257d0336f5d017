"""The page of a saved plan: its lessons, how good it is, and its order, changed by hand."""

from collections.abc import Mapping
from dataclasses import replace

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import MelodexError, QueryError
from melodex.finder.teaching.own_work import OpenedPlan, change_plan, opened_plan, plain_plan
from melodex.finder.teaching.plan_lessons import SECONDS
from melodex.web.addresses import address_of
from melodex.web.form_fields import Fields
from melodex.web.jobs import Job
from melodex.web.pages import page
from melodex.web.refusals import Refusal, status_of
from melodex.web.routes.job_pages import OF_PLAN, PLAN, SEE_OTHER, see
from melodex.web.site import Site, site_of
from melodex.web.work import evaluate, plan_again, write_handouts

_EVALUATION = "Evaluating a plan"


def show_plan(
    request: Request,
    opened: OpenedPlan,
    sent: Fields,
    problem: MelodexError | None,
    *,
    about: Mapping[str, object],
) -> Response:
    """Show a saved plan, its order as it was sent where there was a problem.

    Parameters
    ----------
    about : mapping
        What else the page shows: labels of songs, and lessons that were taught.
    """
    places = [f"place-{song}" for song in sent.all_as_sent("song")]
    filled = {**sent.as_sent(*places), "keep": sent.all_as_sent("keep")} if places else {}
    values = {
        "saved": opened.saved,
        "plan": opened.plan,
        "is_evaluated": opened.is_evaluated,
        "missing": opened.missing,
        "evaluation": _running(site_of(request), opened.saved.work),
        "sent": filled,
        "problem": problem,
        **about,
    }
    return page(request, "plan.html", values, status=status_of(problem) if problem else 200)


def reorder(request: Request, fields: Fields) -> Response:
    """Save a plan in the order that was sent, then evaluate it, order it anew, or print it."""
    site, work = site_of(request), request.path_params["work"]
    order = _order_by_hand(fields)
    with site.catalogue() as catalogue:
        limits = opened_plan(catalogue, work).plan.limits
        kept = [
            (limits.lesson_of(order.index(song)), song)
            for song in fields.texts("keep")
            if song in order
        ]
        limits = replace(limits, kept=tuple(sorted(kept)))
        plan = plain_plan(order, limits, dict(catalogue.titles()))
        change_plan(catalogue, work, plan, evaluated=False)
    if (evaluation := _running(site, work)) is not None:
        evaluation.stop()  # it looks at the order before
    again = {OF_PLAN: work}
    match fields.line("do"):
        case "again":
            keywords: dict[str, object] = {"work": work, "seconds": SECONDS}
            return see(site.jobs.start(plan_again, PLAN, "Ordering lessons anew", keywords), again)
        case "handouts":
            title = "Writing handouts"
            return see(site.jobs.start(write_handouts, "handouts", title, {"work": work}), again)
        case _:
            begin_evaluation(site, work)
    moved = fields.line("move").partition(":")[2]
    address = address_of(f"/saved/{work}", whom=fields.line("whom"))
    return RedirectResponse(address + (f"#song-{moved}" if moved else ""), SEE_OTHER)


def begin_evaluation(site: Site, work: str) -> None:
    """Begin to evaluate a saved plan; where the site is busy its page offers it again."""
    try:
        site.jobs.start(evaluate, PLAN, _EVALUATION, {"work": work})
    except Refusal:
        return


def _running(site: Site, work: str) -> Job | None:
    """Return the job that evaluates a saved plan now."""
    running = (job for job in site.jobs.running() if job.title == _EVALUATION)
    return next((job for job in running if job.keywords["work"] == work), None)


def _order_by_hand(fields: Fields) -> list[str]:
    """Read the songs in the order of the numbers written beside them, ties as they stood.

    A button beside a song moves it up or down by one; a song without a number is taken out.
    """
    songs = list(dict.fromkeys(fields.texts("song")))
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
