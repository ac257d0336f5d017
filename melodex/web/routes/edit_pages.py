"""Forms that change what is known of one song: facts, corrections, removing it."""

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.finder.collection.correct_song import correct_song, undo_corrections
from melodex.finder.collection.edited_facts import cells_of, column_named, describe_song
from melodex.finder.collection.remove_song import remove_song
from melodex.index.corrections import correction_of
from melodex.index.store import Catalogue
from melodex.model.song import Song
from melodex.parsing.corrected_song import pickup_of
from melodex.web.addresses import address_of
from melodex.web.form_fields import Fields
from melodex.web.pages import page
from melodex.web.routes.job_pages import SEE_OTHER
from melodex.web.site import site_of

_CORRECTABLE = ("title", "key", "metre", "pickup")


def edit_values(catalogue: Catalogue, song: Song, name: str, sent: Fields) -> dict[str, object]:
    """Return what the forms are filled with: what stands, or what was sent where it was refused."""
    cells = cells_of(catalogue, name)
    columns, given = sent.all_as_sent("column"), sent.all_as_sent("cell")
    cells |= {column: cell for column, cell in zip(columns, given, strict=False) if column in cells}
    read = {
        "title": song.title,
        "key": str(song.key or ""),
        "metre": str(song.metre),
        "pickup": f"{pickup_of(song):g}",
    }
    was_sent = sent.as_sent(*_CORRECTABLE)
    return {
        "cells": cells,
        "correctable": was_sent if any(was_sent.values()) else read,
        "corrected": correction_of(catalogue, name).corrected,
        "described": {
            column: cell
            for column, cell in cells_of(catalogue, name).items()
            if cell and column not in {"level", "tags"}
        },
        **sent.as_sent("new_column", "new_cell"),
    }


def describe(request: Request, fields: Fields) -> Response:
    """Replace the facts of a song."""
    song = request.path_params["song"]
    cells = dict(zip(fields.all_as_sent("column"), fields.all_as_sent("cell"), strict=False))
    if fields.line("new_cell"):
        cells[column_named(fields.line("new_column"))] = fields.line("new_cell")
    with site_of(request).catalogue() as catalogue:
        describe_song(catalogue, song, cells)
    return _see(song)


def correct(request: Request, fields: Fields) -> Response:
    """Correct what differs in the form from what the song page shows."""
    song = request.path_params["song"]
    with site_of(request).catalogue() as catalogue:
        shown = catalogue.song(song)
        pickup = fields.amount("pickup", highest=99)
        title, key, metre = (fields.line(name) for name in ("title", "key", "metre"))
        correct_song(
            catalogue,
            song,
            title=title if title != shown.title else None,
            key=key if key and key != str(shown.key or "") else None,
            metre=metre if metre and metre != str(shown.metre) else None,
            pickup=pickup if pickup is not None and pickup != pickup_of(shown) else None,
        )
    return _see(song)


def undo(request: Request, fields: Fields) -> Response:
    """Take the corrections of a song back."""
    del fields
    song = request.path_params["song"]
    with site_of(request).catalogue() as catalogue:
        undo_corrections(catalogue, song)
    return _see(song)


def confirm_remove(request: Request) -> Response:
    """Show what would be removed, with the button that does it."""
    with site_of(request).catalogue() as catalogue:
        entry = catalogue.entry(request.path_params["song"])
    return page(request, "remove.html", {"entry": entry})


def remove(request: Request, fields: Fields) -> Response:
    """Remove a song from the catalogue."""
    del fields
    with site_of(request).catalogue() as catalogue:
        remove_song(catalogue, catalogue.entry(request.path_params["song"]).song)
    return RedirectResponse("/", SEE_OTHER)


def _see(song: str) -> Response:
    return RedirectResponse(address_of(f"/songs/{song}"), SEE_OTHER)
