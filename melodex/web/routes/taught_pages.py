"""What was taught: noted from a saved plan's lessons and on a saved student's page."""

from datetime import date
from typing import TYPE_CHECKING
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import DescriptionError, QueryError
from melodex.finder.collection.song_labels import song_labels
from melodex.finder.keeping_licks import kept_lick_list
from melodex.finder.teaching.noted_lessons import (
    Pupils,
    day_of_lesson,
    every_pupil,
    note_lesson,
    note_lick,
    note_song,
    pupils_of,
    pupils_with_key,
    record_of,
)
from melodex.finder.teaching.own_work import OpenedPlan, opened_plan
from melodex.index.work_table import saved_work
from melodex.model.saved_work import SavedWork, WorkKind
from melodex.model.weekly_dates import as_date
from melodex.report.review_words import due_in_words
from melodex.web.addresses import address_of
from melodex.web.form_fields import Fields, query_of
from melodex.web.routes.job_pages import SEE_OTHER
from melodex.web.site import site_of

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

_NOTED = ("song", "lick", "up_to", "day", "whom")  # fields of a student's page


def note(request: Request, fields: Fields) -> Response:
    """Note what was taught: a lesson of a saved plan, or a song or lick on a student's page."""
    with site_of(request).catalogue() as catalogue:
        work = saved_work(catalogue, request.path_params["work"])
        if work.kind is WorkKind.PLAN:
            return _note_lesson(catalogue, work.work, fields)
        _note_song_or_lick(catalogue, work, fields)
    return RedirectResponse(f"/saved/{work.work}#taught", SEE_OTHER)


def see_plan(fields: Fields) -> Response:
    """Lead back to the lesson of a plan from which something was noted."""
    work = quote(fields.line("plan"), safe="")
    lesson = fields.whole("lesson")
    place = "" if lesson is None else f"#title-{lesson}"
    address = address_of(f"/saved/{work}", whom=fields.line("whom"))
    return RedirectResponse(address + place, SEE_OTHER)


def taught_in_plan(
    request: Request, catalogue: "Catalogue", opened: OpenedPlan, sent: Fields
) -> dict[str, object]:
    """Return what a plan's page shows of lessons that were taught, and to whom."""
    pupils = every_pupil(catalogue)
    key = sent.line("whom") or query_of(request).line("whom")
    chosen = next((each for each in pupils if each.key == key), _usual(pupils, opened))
    record = None if chosen is None else record_of(catalogue, chosen, date.today())
    return {"pupils": pupils, "whom": chosen, "record": record, "day": sent.as_sent("day")["day"]}


def taught_to_student(
    request: Request, catalogue: "Catalogue", saved: SavedWork, sent: Fields
) -> tuple[dict[str, object], DescriptionError | None]:
    """Return what a student's page shows of lessons, and why it is nothing if it is."""
    noted = (query_of(request) if request.method == "GET" else sent).as_sent(*_NOTED)
    form = {"sent": noted, "form_path": f"/saved/{saved.work}"}
    values = {**form, "licks": kept_lick_list(catalogue)}
    try:
        pupils = pupils_of(catalogue, saved)
        record = record_of(catalogue, pupils[0], date.today())
    except DescriptionError as fault:
        return {**values, "pupils": [], "due": [], "last": ()}, fault
    labels = song_labels(catalogue)
    keys = {name: each.key for each in pupils for name in each.names if len(each.names) == 1}
    due = [
        (words, each, keys.get(each.student, pupils[0].key))
        for each, words in zip(record.due, due_in_words(record.due, labels), strict=True)
    ]
    return {**values, "pupils": pupils, "due": due, "last": record.last}, None


def _usual(pupils: list[Pupils], opened: OpenedPlan) -> Pupils | None:
    """Return for whom a plan was made, whatever was noted since; or the only one there is."""
    table = opened.saved.student.strip()
    meant = (each for each in pupils if table and each.saved.content.startswith(table))
    tables = {each.saved.work for each in pupils}
    return next(meant, pupils[0] if len(tables) == 1 else None)


def _note_lesson(catalogue: "Catalogue", plan: str, fields: Fields) -> Response:
    lesson = fields.whole("lesson", lowest=1)
    if lesson is None:
        raise QueryError("No lesson is named.", "choose “Taught” beside a lesson.")
    pupils = pupils_with_key(every_pupil(catalogue), fields.line("whom"))
    planned = opened_plan(catalogue, plan).plan.limits.date_of(lesson)
    day = _day(fields) or day_of_lesson(planned, date.today())
    note_lesson(catalogue, plan, lesson, pupils, day)
    address = address_of(f"/saved/{plan}", whom=pupils.key)
    return RedirectResponse(f"{address}#title-{lesson}", SEE_OTHER)


def _note_song_or_lick(catalogue: "Catalogue", saved: SavedWork, fields: Fields) -> None:
    there = pupils_of(catalogue, saved)
    pupils = pupils_with_key(there, fields.line("whom") or there[0].key)
    song, lick = fields.line("song"), fields.line("lick")
    day = _day(fields) or date.today()
    if bool(song) == bool(lick):
        raise QueryError("Say one thing that was taught.", "name a song, or choose a kept lick.")
    if song:
        note_song(catalogue, song, pupils, day, up_to=fields.whole("up_to"))
    else:
        note_lick(catalogue, lick, pupils, day)


def _day(fields: Fields) -> date | None:
    text = fields.line("day")
    return as_date("the day", text) if text else None
