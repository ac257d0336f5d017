"""The pages of licks: those that recur, found without asking for one, and those that are kept."""

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import MelodexError
from melodex.finder.keeping_licks import forget_lick, keep_lick, kept_lick_list
from melodex.web.form_fields import NOTHING_SENT, Fields, lick_asked, songs_meant
from melodex.web.pages import page
from melodex.web.refusals import status_of
from melodex.web.routes.job_pages import SEE_OTHER, see
from melodex.web.routes.song_pages import FILTERS, LICKS, choices_among
from melodex.web.site import site_of
from melodex.web.work import list_licks

USUAL_LICKS, MOST_LICKS = 20, 200  # of a list


def licks(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show the licks that are kept, the list made last, and the form for a new one."""
    site = site_of(request)
    with site.catalogue() as catalogue:
        kept = kept_lick_list(catalogue)
        total, choices = len(catalogue.song_ids()), choices_among(catalogue)
    values = {
        "kept": kept,
        "latest": site.jobs.latest(LICKS),
        "choices": choices,
        "total": total,
        "sent": sent.as_sent("chord", "limit", *FILTERS),
        "usual": USUAL_LICKS,
        "problem": problem,
    }
    return page(request, "licks.html", values, status=status_of(problem) if problem else 200)


def begin_licks(request: Request, fields: Fields) -> Response:
    """Begin to look for licks that recur."""
    chord = fields.line("chord") or None
    job = site_of(request).jobs.start(
        list_licks,
        LICKS,
        "Looking for licks that recur" + (f" over {chord}" if chord else ""),
        {
            "which": songs_meant(fields),
            "limit": fields.whole("limit", lowest=1, highest=MOST_LICKS) or USUAL_LICKS,
            "chord": chord,
        },
    )
    return see(job)


def keep(request: Request, fields: Fields) -> Response:
    """Keep a lick under a name: one that is written in a form, or one of the last list."""
    with site_of(request).catalogue() as catalogue:
        keep_lick(catalogue, fields.line("name"), lick_asked(catalogue, fields))
    return RedirectResponse("/licks", SEE_OTHER)


def forget(request: Request, fields: Fields) -> Response:
    """Keep a lick no longer."""
    with site_of(request).catalogue() as catalogue:
        forget_lick(catalogue, fields.line("name"))
    return RedirectResponse("/licks", SEE_OTHER)
