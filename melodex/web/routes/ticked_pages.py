"""What is done with songs ticked in the list: a set made of them, levels and tags given to them."""

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from melodex.errors import QueryError
from melodex.finder.collection.edited_facts import describe_several
from melodex.finder.collection.list_songs import sorted_songs
from melodex.finder.teaching.own_work import add_to_set
from melodex.index.store import Catalogue
from melodex.web.addresses import address_of
from melodex.web.form_fields import LIST_FIELDS, Fields, songs_meant
from melodex.web.routes.job_pages import SEE_OTHER
from melodex.web.site import site_of


def ticked(request: Request, fields: Fields) -> Response:
    """Put the ticked songs into a set, or describe them."""
    with site_of(request).catalogue() as catalogue:
        songs = _songs_in(catalogue, fields)
        match fields.line("do"):
            case "set":
                saved = add_to_set(catalogue, fields.line("set_name"), songs)
                return RedirectResponse(f"/saved/{saved.work}", SEE_OTHER)
            case "describe":
                level, tags = fields.line("new_level"), fields.line("new_tags")
                describe_several(catalogue, songs, level=level, tags=tags)
            case other:
                raise QueryError(f"'{other}' cannot be done with songs.", "use a button.")
    return RedirectResponse(address_of("/", **fields.as_sent(*LIST_FIELDS)), SEE_OTHER)


def _songs_in(catalogue: Catalogue, fields: Fields) -> list[str]:
    """Return the songs that were ticked, or all that the list has on all of its pages."""
    if fields.line("all"):
        found = sorted_songs(catalogue, songs_meant(fields), words=fields.line("words"))
        return [entry.song for entry in found]
    return fields.texts("song")
