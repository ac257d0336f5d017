"""The pages of long work: how far it is, stopping it, and what came of it."""

from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from melodex.report.audit_plots import LICKS, MATRIX
from melodex.report.comparison_plot import COMPARISON
from melodex.web.form_fields import Fields
from melodex.web.jobs import Job, State
from melodex.web.pages import as_file, page
from melodex.web.refusals import NOT_FOUND, Refusal, status_of
from melodex.web.site import site_of
from melodex.web.work import HANDOUTS

_FILES = frozenset({MATRIX, LICKS, COMPARISON, HANDOUTS})
SEE_OTHER = 303
SHORT_WORK_SECONDS = 2.0
PLAN = "lessons"  # the kind of job that makes or evaluates a saved plan


def see(job: Job) -> Response:
    """Lead to the page of a job, after a moment in which a short one may have ended."""
    job.wait(SHORT_WORK_SECONDS)
    return RedirectResponse(job.address, SEE_OTHER)


def job(request: Request) -> Response:
    """Show how far a job is, or what came of it; a plan has a page of its own."""
    found = site_of(request).jobs.job(request.path_params["number"])
    standing = found.standing
    if standing.state is State.DONE and found.kind == PLAN:
        return RedirectResponse(f"/saved/{standing.result}", SEE_OTHER)
    if standing.state is State.DONE:
        values = {"job": found, "result": standing.result, "asked": found.asked}
        return page(request, f"done/{found.kind}_done.html", values)
    status = status_of(standing.error) if standing.error else 200
    return page(request, "job.html", {"job": found, "standing": standing}, status=status)


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
