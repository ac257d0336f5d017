"""The pages that lay a song under the hands: as tab, and arranged in rolls."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeAlias

from starlette.requests import Request
from starlette.responses import Response

from melodex.banjo.arranger.arranging_stages import FULL, STAGES
from melodex.banjo.arranger.roll_patterns import ROLLS
from melodex.errors import MelodexError
from melodex.finder.arrange_song import arrange_song
from melodex.finder.shown_song import shown_song
from melodex.finder.tab_of_song import tab_of_song
from melodex.model.tablature import Tab
from melodex.model.tuning import HIGHEST_CAPO, NAMED_TUNINGS, tuning_asked
from melodex.web.form_fields import Fields, query_of
from melodex.web.music import Passage, played
from melodex.web.pages import page
from melodex.web.refusals import status_of
from melodex.web.site import site_of
from melodex.web.under_the_hands import as_tab_file, kind_of_file, shown_tab, view_of

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

Shown: TypeAlias = Mapping[str, object]
"""Values for a template, by name."""
MOST_OCTAVES = 3  # to move a song by
UP = "up"  # the neck
_VIEW = ("measures", "count")
_OF_TAB = ("tuning", "capo", "neck", "octaves", *_VIEW)
_OF_ARRANGEMENT = ("stage", "roll", "neck", "simple", *_VIEW)
_STAGES_IN_WORDS = {
    "melody": "melody: the melody alone",
    "pinches": "pinches: with pinches between its notes",
    "roll": "roll: in one steady roll",
    "full": "full: in rolls as they suit",
}


def tab(request: Request) -> Response:
    """Show a song as tab, laid on the neck as it was chosen."""

    def shown(catalogue: "Catalogue", name: str, fields: Fields) -> Shown:
        laid = _tab(catalogue, name, fields)
        view = view_of(fields)
        return {"shown": shown_tab(laid, view, name=laid.song.title, prefix="tab")}

    values = {
        "shown": None,
        "tunings": [(each.name, str(each)) for each in NAMED_TUNINGS],
        "most_octaves": MOST_OCTAVES,
        "highest_capo": HIGHEST_CAPO,
    }
    return _answer(request, "tab.html", values, _OF_TAB, shown)


def save_tab(request: Request) -> Response:
    """Return a song's tab as a file."""
    return _file(request, _tab, "")


def arrange(request: Request) -> Response:
    """Show a song arranged in rolls, and as it was."""

    def shown(catalogue: "Catalogue", name: str, fields: Fields) -> Shown:
        arranged, view = _arranged(catalogue, name, fields), view_of(fields)
        plain = shown_song(catalogue, name)
        title = plain.song.title
        after = shown_tab(arranged, view, name=f"{title}, arranged", prefix="after")
        passage = Passage(plain.song, "before", view.measures, plain.tab)
        before = played(passage, name=f"{title}, before", count=view.count)
        return {"before": before, "after": after}

    values = {
        "before": None,
        "after": None,
        "stages": [(stage, _STAGES_IN_WORDS.get(stage, stage)) for stage in STAGES],
        "usual_stage": FULL,
        "rolls": ROLLS,
    }
    return _answer(request, "arrange.html", values, _OF_ARRANGEMENT, shown)


def save_arrangement(request: Request) -> Response:
    """Return an arranged song as a file."""
    return _file(request, _arranged, "-arranged")


def _tab(catalogue: "Catalogue", song: str, fields: Fields) -> Tab:
    tuning, capo = fields.line("tuning") or None, fields.whole("capo", highest=HIGHEST_CAPO) or 0
    return tab_of_song(
        catalogue,
        song,
        measures=view_of(fields).measures,
        tuning=tuning_asked(tuning, capo),
        up_the_neck=fields.line("neck") == UP,
        octaves=octaves_of(fields),
    )


def octaves_of(fields: Fields) -> int | None:
    """Read by how many octaves a song is moved; None for where it plays nearest the nut.

    Raises
    ------
    QueryError
        If it is no whole number, or no song can be moved so far.
    """
    return fields.whole("octaves", lowest=-MOST_OCTAVES, highest=MOST_OCTAVES)


def _arranged(catalogue: "Catalogue", song: str, fields: Fields) -> Tab:
    return arrange_song(
        catalogue,
        song,
        roll=fields.line("roll") or None,
        stage=fields.line("stage") or FULL,
        simple=bool(fields.line("simple")),
        up_the_neck=fields.line("neck") == UP,
    )


def _answer(
    request: Request,
    template: str,
    values: Shown,
    choices: tuple[str, ...],
    shown: Callable[["Catalogue", str, Fields], Shown],
) -> Response:
    """Fill a page in: its form with what was sent, and what it shows or what is wrong.

    Parameters
    ----------
    values : mapping
        For the template, whatever is shown.
    choices : tuple of str
        The fields of its form.
    shown : callable
        Returns what else the template is given.
    """
    fields, name = query_of(request), request.path_params["song"]
    with site_of(request).catalogue() as catalogue:
        entry = catalogue.entry(name)
    found: Shown = {}
    problem: MelodexError | None = None
    try:
        with site_of(request).searching() as catalogue:
            found = shown(catalogue, name, fields)
    except MelodexError as error:  # shown above the form, so that it can be corrected there
        problem = error
    sent = {
        "entry": entry,
        "sent": fields.as_sent(*choices),
        "query": request.url.query,
        "problem": problem,
    }
    status = status_of(problem) if problem else 200
    return page(request, template, {**values, **sent, **found}, status=status)


def _file(
    request: Request, lay: Callable[["Catalogue", str, Fields], Tab], ending: str
) -> Response:
    """Return a tab as a file that is named after its song."""
    fields, name = query_of(request), request.path_params["song"]
    kind_of_file(request)
    with site_of(request).searching() as catalogue:
        laid = lay(catalogue, name, fields)
    return as_tab_file(request, laid, view_of(fields), f"{name}{ending}")
