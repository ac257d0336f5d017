"""A tab on a page: engraved and to be heard, in plain characters, as a file to download."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from starlette.requests import Request
from starlette.responses import Response

from melodex.engraving.engrave_song import PhraseMark
from melodex.finder.tab_of_song import left_out_of_file, tab_file, tab_text
from melodex.model.tablature import Tab
from melodex.web.form_fields import Fields, measures_named
from melodex.web.music import Music, Passage, played
from melodex.web.refusals import NOT_FOUND, Refusal

# What a tab can be downloaded as, by the end of its address and of the file's name.
FILES = {"tab": "text tab", "musicxml": "MusicXML"}
_MEDIA_TYPES = {"tab": "text/plain", "musicxml": "application/vnd.recordare.musicxml+xml"}
_NOT_IN_NAMES = re.compile(r"[^A-Za-z0-9-]+")


@dataclass(frozen=True, slots=True)
class View:
    """How much of a tab is shown, and whether its beats are counted."""

    measures: tuple[int, int] | None = None  # first and last as written; None for all
    count: bool = False


class LeftOut(NamedTuple):
    """What a kind of file cannot hold."""

    kind: str  # in words
    sentence: str


@dataclass(frozen=True, slots=True)
class ShownTab:
    """A tab ready for a template."""

    music: Music
    text: str
    remarks: tuple[str, ...]
    cautions: tuple[str, ...]
    left_out: tuple[LeftOut, ...]


def view_of(fields: Fields) -> View:
    """Read which measures a page is to show, and whether it counts.

    Raises
    ------
    QueryError
        If the measures cannot be understood.
    """
    return View(measures_named(fields), bool(fields.line("count")))


def shown_tab(
    tab: Tab,
    view: View,
    *,
    name: str,
    prefix: str,
    marks: Sequence[PhraseMark] = (),
) -> ShownTab:
    """Engrave a tab and write it in plain characters.

    Parameters
    ----------
    name : str
        What its player plays, for those who do not see it.
    prefix : str
        Begins every id of the picture.
    marks : sequence of PhraseMark
        As for ``engrave``.

    Raises
    ------
    QueryError
        If the song has none of the measures.
    """
    passage = Passage(tab.song, prefix, view.measures, tab)
    music = played(passage, name=name, marks=marks, count=view.count)
    text = tab_text(tab, view.measures, count=view.count)
    return ShownTab(music, text, tab.remarks, tab.cautions, left_out_of_files(tab))


def left_out_of_files(tab: Tab) -> tuple[LeftOut, ...]:
    """Return what the files that a page offers cannot hold of a tab's song."""
    return tuple(
        LeftOut(words, sentence)
        for kind, words in FILES.items()
        for sentence in left_out_of_file(tab, f".{kind}")
    )


def kind_of_file(request: Request) -> str:
    """Return the kind of file that an address ends in.

    Raises
    ------
    Refusal
        If there is no such kind.
    """
    kind: str = request.path_params["kind"]
    if kind not in FILES:
        raise Refusal(
            "There is no such file.", "choose one of those that the page offers.", status=NOT_FOUND
        )
    return kind


def as_tab_file(request: Request, tab: Tab, view: View, name: str) -> Response:
    """Return a tab as a file to keep.

    Parameters
    ----------
    name : str
        Of the file, without its end; what a file's name cannot hold is left out.

    Raises
    ------
    QueryError
        If the song has none of the measures.
    """
    kind = kind_of_file(request)
    content = tab_file(tab, f".{kind}", measures=view.measures, count=view.count)
    named = _NOT_IN_NAMES.sub("-", name).strip("-") or "song"
    disposition = f'attachment; filename="{named}.{kind}"'
    headers = {"Content-Disposition": disposition}
    return Response(content, media_type=_MEDIA_TYPES[kind], headers=headers)
