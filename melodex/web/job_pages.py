"""The pages of long work: how far it is, stopping it, and what came of it."""

from collections.abc import Mapping
from types import MappingProxyType

from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from melodex.errors import MelodexError
from melodex.report.audit_plots import LICKS, MATRIX
from melodex.report.comparison_plot import COMPARISON
from melodex.web.forms import Fields
from melodex.web.jobs import Job, State
from melodex.web.pages import as_file, page
from melodex.web.refusals import NOT_FOUND, Refusal, status_of
from melodex.web.site import site_of
from melodex.web.work import HANDOUTS

_FILES = frozenset({MATRIX, LICKS, COMPARISON, HANDOUTS})
SEE_OTHER = 303
SHORT_WORK_SECONDS = 2.0
NOTHING_SENT: Mapping[str, object] = MappingProxyType({})


def see(job: Job) -> Response:
    """Lead to the page of a job, after a moment in which a short one may have ended."""
    job.wait(SHORT_WORK_SECONDS)
    return RedirectResponse(job.address, SEE_OTHER)


def job(request: Request) -> Response:
    """Show how far a job is, or what came of it."""
    found = site_of(request).jobs.job(request.path_params["number"])
    standing = found.standing
    if standing.state is State.DONE:
        return outcome(request, found)
    status = status_of(standing.error) if standing.error else 200
    return page(request, "job.html", {"job": found, "standing": standing}, status=status)


def outcome(
    request: Request,
    done: Job,
    sent: Mapping[str, object] = NOTHING_SENT,
    problem: MelodexError | None = None,
) -> Response:
    """Show what came of a job.

    Parameters
    ----------
    sent : mapping
        What fills in the form on it, by field; what is missing there stands as the job found it.
    problem : MelodexError or None
        What was wrong when that form was sent.
    """
    values = {
        "job": done,
        "result": done.standing.result,
        "asked": done.asked,
        "sent": sent,
        "problem": problem,
    }
    return page(
        request, f"{done.kind}_done.html", values, status=status_of(problem) if problem else 200
    )


def stop(request: Request, fields: Fields) -> Response:
    """End a job."""
    del fields
    found = site_of(request).jobs.job(request.path_params["number"])
    found.stop()
    return see(found)


def file(request: Request) -> Response:
    """Return a file that a job has made: a picture to view, or handouts to keep."""
    found = site_of(request).jobs.job(request.path_params["number"])
    path = found.folder / request.path_params["name"]
    if path.name not in _FILES or not path.is_file():
        raise Refusal("There is no such file.", "go back to the page.", status=NOT_FOUND)
    if path.name == HANDOUTS:
        return as_file(path.read_text(encoding="utf-8"), HANDOUTS)
    return FileResponse(path, media_type="image/svg+xml")
