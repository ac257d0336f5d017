"""The pages of long work: how far it is, stopping it, and what came of it."""

from collections.abc import Mapping
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response

from melodex.report.audit_plots import LICKS, MATRIX
from melodex.report.comparison_plot import COMPARISON
from melodex.web.addresses import address_of
from melodex.web.form_fields import Fields
from melodex.web.jobs import Job, State
from melodex.web.pages import as_file, page
from melodex.web.refusals import NOT_FOUND, Refusal, status_of
from melodex.web.site import site_of
from melodex.web.work import AUDIT_REPORT, HANDOUTS

_FILES = frozenset({MATRIX, LICKS, COMPARISON, HANDOUTS, AUDIT_REPORT})
PLAN = "lessons"  # the kind of job that makes or evaluates a saved plan
# The pages whose forms begin a kind of job.
_FORMS = {kind: f"/{kind}" for kind in ("add", "audit", "licks", PLAN, "student")}
LONGEST_IN_ADDRESS = 300  # characters of one field; every browser takes addresses of 2,000
OF_PLAN = "plan"  # the field of an address that names the saved plan from which a job was begun
SEE_OTHER = 303
SHORT_WORK_SECONDS = 2.0


def see(job: Job, sent: Mapping[str, str] | None = None) -> Response:
    """Lead to the page of a job, after a moment in which a short one may have ended.

    Parameters
    ----------
    sent : mapping or None
        The form that began it. It goes into the address, so that the form can be filled in again
        when the job is not there any more; what is too long for an address is left out.
    """
    job.wait(SHORT_WORK_SECONDS)
    short = {name: text for name, text in (sent or {}).items() if len(text) <= LONGEST_IN_ADDRESS}
    return RedirectResponse(address_of(job.address, begun_on=job.kind, **short), SEE_OTHER)


def job(request: Request) -> Response:
    """Show how far a job is, or what came of it; a plan has a page of its own."""
    try:
        found = site_of(request).jobs.job(request.path_params["job"])
    except Refusal as gone:
        lost = {"form": _form_again(request)}
        return page(request, "done/job_gone.html", lost, status=gone.status)
    standing = found.standing
    if standing.state is State.DONE and found.kind == PLAN:
        return RedirectResponse(f"/saved/{standing.result}", SEE_OTHER)
    if standing.state is State.DONE:
        values = {
            "job": found,
            "result": standing.result,
            "keywords": found.keywords,
            "form": _form_again(request) or f"/{found.kind}",
        }
        return page(request, f"done/{found.kind}_done.html", values)
    status = status_of(standing.error) if standing.error else 200
    known = {"job": found, "standing": standing, "form": _form_again(request)}
    return page(request, "job.html", known, status=status)


def _form_again(request: Request) -> str | None:
    """Return the address of the form that began a job, filled in; None where it is unknown.

    What was begun from a saved plan leads back to that plan.
    """
    sent = dict(request.query_params)
    if plan := sent.get(OF_PLAN):
        return f"/saved/{quote(plan, safe='')}"
    path = _FORMS.get(sent.pop("begun_on", ""))
    return None if path is None else address_of(path, **sent)


def stop(request: Request, fields: Fields) -> Response:
    """End a job."""
    del fields
    found = site_of(request).jobs.job(request.path_params["job"])
    found.stop()
    return see(found)


def file(request: Request) -> Response:
    """Return a file that a job has made: a picture to view, or a report to keep."""
    found = site_of(request).jobs.job(request.path_params["job"])
    path = found.folder / request.path_params["name"]
    if path.name not in _FILES or not path.is_file():
        raise Refusal("There is no such file.", "go back to the page.", status=NOT_FOUND)
    if path.suffix == ".html":
        return as_file(path.read_text(encoding="utf-8"), path.name)
    return FileResponse(path, media_type="image/svg+xml")
