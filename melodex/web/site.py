"""What the pages of one server share."""

import secrets
import threading
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.requests import Request

from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.web.jobs import Jobs
from melodex.web.refusals import UNAVAILABLE, Refusal

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

MOST_SEARCHES = 2  # at once; more would only slow each other down
LONGEST_WAIT_SECONDS = 60.0  # for one of them to end
_TOKEN_BYTES = 24


@dataclass(frozen=True, slots=True)
class Site:
    """One server's catalogue, jobs, and token of the forms that it gives out."""

    path: Path  # of the catalogue's file
    jobs: Jobs
    token: str = field(default_factory=lambda: secrets.token_urlsafe(_TOKEN_BYTES))
    searches: threading.Semaphore = field(
        default_factory=lambda: threading.BoundedSemaphore(MOST_SEARCHES)
    )

    def catalogue(self) -> "Catalogue":
        """Open the catalogue for one request; threads cannot share one."""
        return open_catalogue(self.path)

    @contextmanager
    def searching(self) -> Generator["Catalogue"]:
        """Open the catalogue for a request that takes long; few are answered at once.

        Raises
        ------
        Refusal
            If others take so long that this one would have to wait longer than a reader does.
        """
        if not self.searches.acquire(timeout=LONGEST_WAIT_SECONDS):
            raise Refusal(
                "The site is busy with other searches.",
                "send it again in a moment.",
                status=UNAVAILABLE,
            )
        try:
            with self.catalogue() as opened:
                yield opened
        finally:
            self.searches.release()


def site_of(request: Request) -> Site:
    """Return what belongs to the server that a request came to."""
    site: Site = request.app.state.site
    return site
