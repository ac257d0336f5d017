"""Serve the site: an address that is announced once it serves, until Ctrl-C."""

import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from melodex.errors import CatalogueError, MelodexError
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.nearest_songs import nearest_songs
from melodex.finder.place_lick import place_lick
from melodex.finder.shared_phrases import shared_phrases
from melodex.search.query import lick_from_song
from melodex.web.app import Access, site_for
from melodex.web.guard import is_this_machine
from melodex.web.served_catalogue import opened_again
from melodex.web.visitor_key import FIELD, new_key

SECONDS_TO_END = 3  # for requests under way when the server is stopped
MOST_REQUESTS = 200  # at once; more are told to come again


@dataclass(frozen=True, slots=True)
class Opening:
    """A site that can be visited now."""

    address: str  # with the key, where visitors need one
    is_for_others: bool  # whether other machines can reach it
    may_change: bool  # whether visitors may change the catalogue


def serve(
    catalogue: Path,
    *,
    host: str,
    port: int,
    allow_changes: bool,
    announce: Callable[[Opening], None],
) -> None:
    """Serve a catalogue's site until Ctrl-C.

    A site that other machines can reach requires a key, and is read-only unless changes are
    allowed.

    Parameters
    ----------
    host : str
        The address to listen at.
    port : int
        0 for one that is free.
    allow_changes : bool
        Whether visitors may change the catalogue, where other machines can reach the site.
    announce : callable
        Called when the site can be visited.

    Raises
    ------
    MelodexError
        If nothing can be served there, as when another program has the port.
    CatalogueError
        If the catalogue cannot be opened.
    """
    open_catalogue(catalogue).close()
    is_for_others = not is_this_machine(host)
    key = new_key() if is_for_others else None
    access = Access(host, key, may_change=allow_changes or not is_for_others)
    with _listen(host, port) as listening:
        name = f"[{host}]" if ":" in host else host
        address = f"http://{name}:{listening.getsockname()[1]}/" + (
            f"?{FIELD}={key}" if key else ""
        )
        announce(Opening(address, is_for_others, access.may_change))
        threading.Thread(target=_warm, args=(catalogue,), daemon=True).start()
        config = uvicorn.Config(
            site_for(catalogue, access),
            log_level="warning",
            server_header=False,
            limit_concurrency=MOST_REQUESTS,
            timeout_graceful_shutdown=SECONDS_TO_END,
        )
        uvicorn.Server(config).run(sockets=[listening])


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen()  # whoever comes before the site is ready waits instead of being refused
    except OSError as error:
        listening.close()
        raise MelodexError(
            f"Nothing can be served at {host}, port {port}: {error.strerror}.",
            "choose another with --port, or --port 0 for any that is free.",
        ) from error
    return listening


def _warm(catalogue: Path) -> None:
    """Load what searches need, so that the first visitor need not wait for it."""
    # Once the server was stopped meanwhile, no thread can be begun for a search.
    # One that has vanished is reported by the first page.
    with suppress(RuntimeError, CatalogueError), opened_again(catalogue) as opened:
        for song in opened.song_ids()[:1]:
            nearest_songs(opened, song, limit=1)
            shared_phrases(opened, song, song)
            with suppress(MelodexError):  # no two measures, or they fit nowhere else
                place_lick(opened, song, lick_from_song(opened, song, measures=(1, 2)))
