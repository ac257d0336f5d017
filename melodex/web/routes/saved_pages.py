"""The pages of what is saved: plans, students and sets of songs; each has a lasting address."""

from collections import Counter
from collections.abc import Mapping

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import MelodexError, QueryError
from melodex.finder.collection.song_labels import song_labels
from melodex.finder.teaching.own_work import (
    change_text,
    copy_work,
    opened_plan,
    save_text,
    songs_of_set,
    text_of_upload,
)
from melodex.index.song_ids import readable_word
from melodex.index.work_table import (
    LONGEST_CONTENT,
    delete_work,
    rename_work,
    saved_work,
    saved_works,
    undo_change,
)
from melodex.model.saved_work import SavedWork, WorkKind
from melodex.web.form_fields import NOTHING_SENT, Fields
from melodex.web.pages import as_file, page
from melodex.web.refusals import status_of
from melodex.web.routes.job_pages import SEE_OTHER
from melodex.web.routes.plan_pages import begin_evaluation, show_plan
from melodex.web.routes.taught_pages import see_plan, taught_in_plan, taught_to_student
from melodex.web.site import site_of

_MEDIA = {WorkKind.PLAN: ("toml", "application/toml"), WorkKind.STUDENT: ("csv", "text/csv"),
          WorkKind.SET: ("csv", "text/csv")}  # fmt: skip


def saved(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """List what is saved, with a form to save a file."""
    with site_of(request).catalogue() as catalogue:
        works = saved_works(catalogue)
    values = {
        "groups": [
            (kind, [work for work in works if work.kind is kind])
            for kind in (WorkKind.PLAN, WorkKind.STUDENT, WorkKind.SET)
        ],
        "kinds": list(WorkKind),
        "sent": sent.as_sent("kind", "name", "text"),
        "problem": problem,
    }
    return page(request, "saved.html", values, status=status_of(problem) if problem else 200)


def save(request: Request, fields: Fields) -> Response:
    """Save a file or a text under a name."""
    kind = fields.line("kind")
    if kind not in list(WorkKind):
        raise QueryError(
            f"'{kind}' cannot be saved.", f"choose one of {', '.join(WorkKind)} in the form."
        )
    text, file_name = _text_sent(fields)
    name = fields.line("name") or file_name
    with site_of(request).catalogue() as catalogue:
        work = save_text(catalogue, WorkKind(kind), name, text)
    return _see(work.work)


def opened(
    request: Request, sent: Fields = NOTHING_SENT, problem: MelodexError | None = None
) -> Response:
    """Show what is saved under an id, its form filled in as it was sent."""
    with site_of(request).catalogue() as catalogue:
        work = saved_work(catalogue, request.path_params["work"])
        if work.kind is WorkKind.PLAN:
            plan = opened_plan(catalogue, work.work)
            about = taught_in_plan(request, catalogue, plan, sent)
            about["labels"] = song_labels(catalogue)
            return show_plan(request, plan, sent, problem, about=about)
        titles = dict(catalogue.titles())
        if work.kind is WorkKind.STUDENT:
            values, fault = taught_to_student(request, catalogue, work, sent)
            problem = problem or fault
        else:
            values = {}
    values |= {
        "saved": work,
        "songs": songs_of_set(work) if work.kind is WorkKind.SET else [],
        "titles": titles,
        "text": sent.as_sent("text")["text"] or _as_typed(work, titles),
        "problem": problem,
    }
    return page(request, "saved_work.html", values, status=status_of(problem) if problem else 200)


def change(request: Request, fields: Fields) -> Response:
    """Replace the text of what is saved."""
    text, _ = _text_sent(fields)
    with site_of(request).catalogue() as catalogue:
        change_text(catalogue, request.path_params["work"], text)
    return _see(request.path_params["work"])


def rename(request: Request, fields: Fields) -> Response:
    """Rename what is saved; its address stays."""
    with site_of(request).catalogue() as catalogue:
        rename_work(catalogue, request.path_params["work"], fields.line("name"))
    return _see(request.path_params["work"])


def copy(request: Request, fields: Fields) -> Response:
    """Copy what is saved under the next free name."""
    del fields
    with site_of(request).catalogue() as catalogue:
        work = copy_work(catalogue, request.path_params["work"])
    return _see(work.work)


def undo(request: Request, fields: Fields) -> Response:
    """Take the last change back; what was noted from a plan's page leads back to the plan."""
    site, work = site_of(request), request.path_params["work"]
    with site.catalogue() as catalogue:
        undo_change(catalogue, work)
        is_plan = saved_work(catalogue, work).kind is WorkKind.PLAN
    if is_plan:
        begin_evaluation(site, work)
    return see_plan(fields) if fields.line("plan") else _see(work)


def confirm_delete(request: Request) -> Response:
    """Show what would be deleted, with the button that does it."""
    with site_of(request).catalogue() as catalogue:
        work = saved_work(catalogue, request.path_params["work"])
    return page(request, "delete.html", {"saved": work})


def delete(request: Request, fields: Fields) -> Response:
    """Delete what is saved."""
    del fields
    with site_of(request).catalogue() as catalogue:
        delete_work(catalogue, request.path_params["work"])
    return RedirectResponse("/saved", SEE_OTHER)


def file(request: Request) -> Response:
    """Return what is saved as a file that the commands read."""
    with site_of(request).catalogue() as catalogue:
        work = saved_work(catalogue, request.path_params["work"])
    suffix, media_type = _MEDIA[work.kind]
    return as_file(work.content, f"{_file_stem(work)}.{suffix}", media_type=media_type)


def _as_typed(work: SavedWork, titles: Mapping[str, str]) -> str:
    """Return the text of what is saved, a set's songs by title where no other song has it."""
    if work.kind is not WorkKind.SET:
        return work.content
    bearers = Counter(title.casefold() for title in titles.values())
    names = (
        title if title and bearers[title.casefold()] == 1 and '"' not in title else song
        for song, title in ((song, titles.get(song, "")) for song in songs_of_set(work))
    )
    return "\n".join([*work.content.splitlines()[:1], *names])


def _file_stem(work: SavedWork) -> str:
    return readable_word(work.name) or work.kind


def _text_sent(fields: Fields) -> tuple[str, str]:
    """Return the text that was sent, and the name of the file that it was in, if any."""
    text, files = fields.text("text"), fields.files("file")
    if not files:
        return text, ""
    content = files[0].file.read(LONGEST_CONTENT + 1)
    if len(content) > LONGEST_CONTENT:
        raise QueryError(
            f"The file is larger than {LONGEST_CONTENT:,} bytes.", "save it in several parts."
        )
    name = files[0].filename or ""
    return text_of_upload(content, name), name.rpartition(".")[0] or name


def _see(work: str) -> Response:
    return RedirectResponse(f"/saved/{work}", SEE_OTHER)
