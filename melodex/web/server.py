"""Serve the site: an address that is announced once it answers, until Ctrl-C."""

import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import uvicorn

from melodex.errors import MelodexError
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.nearest_songs import nearest_songs
from melodex.finder.place_lick import place_lick
from melodex.finder.shared_phrases import shared_phrases
from melodex.search.query import lick_from_song
from melodex.web.app import site_for

SECONDS_TO_END = 3  # for requests under way when the server is stopped
MOST_REQUESTS = 200  # at once; more are told to come again


def serve(catalogue: Path, *, host: str, port: int, announce: Callable[[str], None]) -> None:
    """Serve a catalogue's site until Ctrl-C.

    Parameters
    ----------
    host : str
        The address to listen at.
    port : int
        0 for one that is free.
    announce : callable
        Told the site's address.

    Raises
    ------
    MelodexError
        If nothing can be served there, as when another program has the port.
    CatalogueError
        If the catalogue cannot be opened.
    """
    open_catalogue(catalogue).close()
    listening = _listen(host, port)
    name = f"[{host}]" if ":" in host else host
    announce(f"http://{name}:{listening.getsockname()[1]}/")
    threading.Thread(target=_warm, args=(catalogue,), daemon=True).start()
    config = uvicorn.Config(
        site_for(catalogue, host=host),
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
    with suppress(RuntimeError), open_catalogue(catalogue) as opened:
        for song in opened.song_ids()[:1]:
            nearest_songs(opened, song, limit=1)
            shared_phrases(opened, song, song)
            with suppress(MelodexError):  # no two measures, or they fit nowhere else
                place_lick(opened, song, lick_from_song(opened, song, measures=(1, 2)))
