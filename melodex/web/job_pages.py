"""The pages of long work: how far it is, stopping it, and what came of it."""

from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from melodex.report.audit_plots import LESSONS, LICKS, MATRIX
from melodex.web.forms import Fields
from melodex.web.jobs import Job, State
from melodex.web.music import width_for
from melodex.web.pages import page
from melodex.web.refusals import NOT_FOUND, Refusal, status_of
from melodex.web.site import site_of

_PICTURES = frozenset({MATRIX, LICKS, LESSONS})
SEE_OTHER = 303


def see(job: Job) -> Response:
    """Lead to the page of a job."""
    return RedirectResponse(job.address, SEE_OTHER)


def job(request: Request) -> Response:
    """Show how far a job is, or what came of it."""
    found = site_of(request).jobs.job(request.path_params["number"])
    standing = found.standing
    if standing.state is State.DONE:
        values = {
            "job": found,
            "result": standing.result,
            "asked": found.asked,
            "width": width_for(request),
        }
        return page(request, f"{found.kind}_done.html", values)
    status = status_of(standing.error) if standing.error else 200
    return page(request, "job.html", {"job": found, "standing": standing}, status=status)


def stop(request: Request, fields: Fields) -> Response:
    """End a job."""
    del fields
    found = site_of(request).jobs.job(request.path_params["number"])
    found.stop()
    return see(found)


def picture(request: Request) -> Response:
    """Give a picture that a job has drawn."""
    found = site_of(request).jobs.job(request.path_params["number"])
    path = found.folder / request.path_params["name"]
    if path.name not in _PICTURES or not path.is_file():
        raise Refusal("There is no such picture.", "go back to the page.", status=NOT_FOUND)
    return FileResponse(path, media_type="image/svg+xml")
