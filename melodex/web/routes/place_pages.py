"""The page that carries a lick into a song: the places, each as it is and with the lick."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response

from melodex.engraving.engrave_song import PhraseMark
from melodex.errors import MelodexError, QueryError
from melodex.finder.given_lick import LickForm
from melodex.finder.keeping_licks import kept_lick_list
from melodex.finder.place_lick import PlaceInSong, PlacesInSong, place_lick
from melodex.finder.tab_of_song import tab_of_song
from melodex.model.key import SHARPS_OF_MODE
from melodex.model.lick import Lick
from melodex.model.results.placement import Placement
from melodex.model.tablature import Tab
from melodex.model.tuning import NAMED_TUNINGS, OPEN_G
from melodex.web.form_fields import Fields, is_number_of_measure, lick_asked, query_of
from melodex.web.music import Pair, Passage, before_and_after
from melodex.web.pages import page
from melodex.web.refusals import status_of
from melodex.web.routes.hands_pages import MOST_OCTAVES, octaves_of
from melodex.web.site import site_of
from melodex.web.under_the_hands import (
    LeftOut,
    ShownTab,
    View,
    as_tab_file,
    kind_of_file,
    left_out_of_files,
    shown_tab,
    view_of,
)

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

SHOWN = 3  # places, measure by measure; the others are listed
MOST_PLACES = 1_000
_LABELS = ("as it is", "with the lick")
_SENT = ("into", "form", "text", "measures", "mode", "tuning", "octaves", "count")
_A_LICK = ("text", "song", "measure")  # fields, one of which says that a lick is sent


@dataclass(frozen=True, slots=True)
class ShownPlace:
    """A place for a lick, as it is and with the lick."""

    number: int  # the best is 1
    placement: Placement
    music: Pair
    left_out: tuple[LeftOut, ...]  # by the files of the song with the lick


@dataclass(frozen=True, slots=True)
class Placed:
    """The places for a lick in a song."""

    lick: Lick
    title: str  # of the song
    placements: Sequence[Placement]  # all, the best first
    shown: Sequence[ShownPlace]
    whole: ShownTab | None  # the song with the lick in the place that is chosen
    number: int | None  # of that place
    remarks: Sequence[str]


def place(request: Request) -> Response:
    """Ask for a song and a lick, and show where the lick fits."""
    fields = query_of(request)
    placed: Placed | None = None
    problem: MelodexError | None = None
    try:
        if fields.line("into") and any(fields.texts(name) for name in _A_LICK):
            placed = _placed(request, fields)
    except MelodexError as error:  # shown above the form, so that it can be corrected there
        problem = error
    with site_of(request).catalogue() as catalogue:
        kept = kept_lick_list(catalogue)
    values = {
        "placed": placed,
        "problem": problem,
        "kept": kept,
        "sent": _as_sent(fields),
        "modes": list(SHARPS_OF_MODE),
        "tunings": [(each.name, str(each)) for each in NAMED_TUNINGS],
        "most_octaves": MOST_OCTAVES,
    }
    return page(request, "place.html", values, status=status_of(problem) if problem else 200)


def save_placed(request: Request) -> Response:
    """Return a song with a lick in one of its places as a file."""
    fields = query_of(request)
    kind_of_file(request)
    with site_of(request).searching() as catalogue:
        song, _, found = _found(catalogue, fields)
    tab = found.place(_number(fields) or 1).tab
    return as_tab_file(request, tab, View(count=view_of(fields).count), f"{song}-with-lick")


def _found(catalogue: "Catalogue", fields: Fields) -> tuple[str, Lick, PlacesInSong]:
    """Return the song's id, the lick, and the places for it."""
    song = catalogue.resolve(_song_named(fields))
    lick = lick_asked(catalogue, fields)
    return song, lick, place_lick(catalogue, song, lick, octaves=octaves_of(fields))


def _song_named(fields: Fields) -> str:
    name = fields.line("into")
    if not name:
        raise QueryError("No song is named.", "name the song that the lick goes into.")
    return name


def _number(fields: Fields) -> int | None:
    return fields.whole("number", lowest=1, highest=MOST_PLACES)


def _placed(request: Request, fields: Fields) -> Placed:
    number, count = _number(fields), bool(fields.line("count"))
    with site_of(request).searching() as catalogue:
        song, lick, found = _found(catalogue, fields)
        before = tab_of_song(catalogue, song, octaves=octaves_of(fields))
        title = before.song.title
        whole = None
        if number is not None:
            chosen = found.place(number)
            whole = shown_tab(
                chosen.tab,
                View(count=count),
                name=f"{title} with the lick",
                prefix="whole",
                marks=[_mark(chosen)],
            )
        return Placed(
            lick=lick,
            title=title,
            placements=[each.placement for each in found.places],
            shown=[
                _shown(before, each, at, count=count)
                for at, each in enumerate(found.places[:SHOWN], start=1)
            ],
            whole=whole,
            number=number,
            remarks=(*lick.remarks, *found.remarks),
        )


def _shown(before: Tab, found: PlaceInSong, number: int, *, count: bool) -> ShownPlace:
    placement = found.placement
    measures = placement.first_measure, placement.last_measure
    after = found.tab
    pair = before_and_after(
        (
            Passage(before.song, f"before-{number}", measures, before),
            Passage(after.song, f"after-{number}", measures, after),
        ),
        _LABELS,
        mark=_mark(found),
        count=count,
    )
    return ShownPlace(number, placement, pair, left_out_of_files(after))


def _mark(found: PlaceInSong) -> PhraseMark:
    """Mark the notes of the lick in the song that has it."""
    onsets = found.tab.song.melody.onsets.tolist()
    lick = [n for n, onset in enumerate(onsets) if found.begin_beats <= onset < found.end_beats]
    return PhraseMark("lick", tuple(lick))


def _as_sent(fields: Fields) -> dict[str, str]:
    """Return what fills the form in: as it was sent, or what was ticked on a song's page."""
    sent = fields.as_sent(*_SENT)
    if song := fields.as_sent("song")["song"]:
        ticked = [text for text in fields.all_as_sent("measure") if is_number_of_measure(text)]
        ends = sorted(ticked, key=int)
        sent |= {
            "form": LickForm.SONG,
            "text": song,
            "measures": "-".join(dict.fromkeys([*ends[:1], *ends[-1:]])),
        }
    sent["mode"] = sent["mode"] or "major"
    sent["tuning"] = sent["tuning"] or OPEN_G.name
    return sent
