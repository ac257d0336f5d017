"""The site: its routes, and what every response passes through."""

import contextlib
from collections.abc import AsyncGenerator, Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.types import ASGIApp, Receive, Scope, Send

from melodex.errors import MelodexError
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.web.guard import Guard
from melodex.web.jobs import Jobs
from melodex.web.pages import error_page
from melodex.web.posted_forms import posted
from melodex.web.refusals import MISTAKE, NOT_ALLOWED, NOT_FOUND, Refusal
from melodex.web.routes import (
    add_pages,
    alike_pages,
    compare_pages,
    edit_pages,
    find_pages,
    hands_pages,
    job_pages,
    lick_pages,
    place_pages,
    plan_pages,
    saved_pages,
    song_pages,
    taught_pages,
    teaching_pages,
    ticked_pages,
)
from melodex.web.site import Site
from melodex.web.static_files import ContentFiles, static_folders
from melodex.web.visitor_key import VisitorKey

# zlib's own default. It makes 15.6 KB of a page of search results with 123 KB; level 9 saves 2 %
# of that and takes longer, level 1 needs 37 % more (measured on the songbook).
COMPRESSION = 6


@dataclass(frozen=True, slots=True)
class Access:
    """Who may visit a site, and what they may do there."""

    host: str = "127.0.0.1"  # the address that is served; requests for other names are refused
    key: str | None = None  # that every visitor must have; None where none is needed
    may_change: bool = True  # the catalogue


ONLY_HERE = Access()
"""This machine alone may visit, and may do everything."""


class GuardedSite(Starlette):
    """An application whose guard stands before everything, also before the page of a mistake."""

    guard: Callable[[ASGIApp], ASGIApp]

    def build_middleware_stack(self) -> ASGIApp:
        """Put the guard outermost, where middleware given to Starlette cannot be."""
        return self.guard(super().build_middleware_stack())


def site_for(catalogue: Path, access: Access = ONLY_HERE) -> Starlette:
    """Make the site of a catalogue, as an ASGI application.

    Parameters
    ----------
    catalogue : Path
        Its file; created when the site starts and it is missing, but not later.
    access : Access
        Who may visit it; by default this machine alone.
    """
    key = None if access.key is None else VisitorKey(access.key)

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncGenerator[None]:
        open_catalogue(catalogue).close()
        with contextlib.closing(Jobs(catalogue)) as jobs:
            app.state.site = Site(catalogue, jobs, may_change=access.may_change)
            yield

    site = GuardedSite(
        routes=_routes(),
        middleware=[Middleware(GZipMiddleware, compresslevel=COMPRESSION)],
        exception_handlers={
            MelodexError: _show_error,
            HTTPException: _show_http_error,
            Exception: _show_mistake,
        },
        lifespan=lifespan,
    )
    site.guard = partial(Guard, host=access.host, key=key, error_page=_page_of_refusal)
    return site


def _song_edits() -> list[Route]:
    """Return the routes that change what is known of a song."""
    forms = {
        "describe": posted(edit_pages.describe, song_pages.song),
        "correct": posted(edit_pages.correct, song_pages.song),
        "correct/undo": posted(edit_pages.undo, song_pages.song),
        "remove": posted(edit_pages.remove),
    }
    return [
        Route("/songs/{song}/remove", edit_pages.confirm_remove),
        *(Route(f"/songs/{{song}}/{what}", form, methods=["POST"]) for what, form in forms.items()),
    ]


def _saved_work() -> list[Route]:
    """Return the routes of what is saved."""
    forms = {
        "delete": posted(saved_pages.delete),
        "rename": posted(saved_pages.rename, saved_pages.opened),
        "copy": posted(saved_pages.copy),
        "undo": posted(saved_pages.undo),
        "text": posted(saved_pages.change, saved_pages.opened),
        "order": posted(plan_pages.reorder, saved_pages.opened),
        "taught": posted(taught_pages.note, saved_pages.opened),
    }
    return [
        Route("/saved", saved_pages.saved),
        Route("/saved", posted(saved_pages.save, saved_pages.saved), methods=["POST"]),
        Route("/saved/{work}", saved_pages.opened),
        Route("/saved/{work}/file", saved_pages.file),
        Route("/saved/{work}/delete", saved_pages.confirm_delete),
        *(Route(f"/saved/{{work}}/{what}", form, methods=["POST"]) for what, form in forms.items()),
    ]


def _routes() -> list[Route | Mount]:
    return [
        Route("/", song_pages.songs),
        Route("/titles", song_pages.titles),
        Route("/alike", alike_pages.alike),
        Route("/songs", song_pages.song_named),
        Route("/songs/{song}", song_pages.song),
        Route("/songs/{song}/near", song_pages.near),
        Route("/songs/{song}/tab", hands_pages.tab),
        Route("/songs/{song}/tab.{kind}", hands_pages.save_tab),
        Route("/songs/{song}/arrange", hands_pages.arrange),
        Route("/songs/{song}/arrange.{kind}", hands_pages.save_arrangement),
        Route("/place", place_pages.place),
        Route("/place.{kind}", place_pages.save_placed),
        *_song_edits(),
        Route("/ticked", posted(ticked_pages.ticked, song_pages.songs), methods=["POST"]),
        Route("/add", add_pages.add_form),
        Route("/add", posted(add_pages.add_files, add_pages.add_form), methods=["POST"]),
        Route("/add/bundled", posted(add_pages.add_bundled, add_pages.add_form), methods=["POST"]),
        Route("/describe", posted(add_pages.describe, add_pages.add_form), methods=["POST"]),
        Route("/find", find_pages.find),
        Route("/find/report", find_pages.save_matches),
        Route("/licks", lick_pages.licks),
        Route(
            "/licks",
            posted(lick_pages.begin_licks, lick_pages.licks, changes=False),
            methods=["POST"],
        ),
        Route("/licks/keep", posted(lick_pages.keep), methods=["POST"]),
        Route("/licks/rename", posted(lick_pages.rename, lick_pages.licks), methods=["POST"]),
        Route("/licks/forget", posted(lick_pages.forget), methods=["POST"]),
        Route("/compare", compare_pages.compare),
        Route("/compare/report", compare_pages.save_comparison),
        Route("/lessons", teaching_pages.lessons),
        Route(
            "/lessons", posted(teaching_pages.begin_plan, teaching_pages.lessons), methods=["POST"]
        ),
        Route("/student", teaching_pages.student),
        Route(
            "/student",
            posted(teaching_pages.begin_student, teaching_pages.student, changes=False),
            methods=["POST"],
        ),
        Route("/audit", teaching_pages.audit),
        Route(
            "/audit",
            posted(teaching_pages.begin_audit, teaching_pages.audit, changes=False),
            methods=["POST"],
        ),
        *_saved_work(),
        Route("/jobs/{job}", job_pages.job),
        Route("/jobs/{job}/stop", posted(job_pages.stop, changes=False), methods=["POST"]),
        Route("/jobs/{job}/{name}", job_pages.file),
        *(Mount(path, ContentFiles(directory=folder)) for path, folder in static_folders().items()),
    ]


def _page_of_refusal(error: MelodexError) -> ASGIApp:
    """Return the page of a refusal, for the guard, which runs before the routes."""

    async def show(scope: Scope, receive: Receive, send: Send) -> None:
        # Whoever is refused learns nothing of the work that is going on.
        page = error_page(Request(scope, receive), error, running=())
        await page(scope, receive, send)

    return show


def _show_error(request: Request, error: Exception) -> Response:
    assert isinstance(error, MelodexError)  # noqa: S101 - by the table above
    return error_page(request, error)


def _show_http_error(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else NOT_FOUND
    if status == NOT_ALLOWED:
        refusal = Refusal(
            "This address takes no such request.", "choose a page above.", status=status
        )
    else:
        refusal = Refusal("There is no such page.", "choose a page above.", status=status)
    return error_page(request, refusal)


def _show_mistake(request: Request, error: Exception) -> Response:
    del error  # the server's log has it
    mistake = Refusal(
        "Something went wrong on this page, and that is a mistake of melodex, not yours.",
        "go back and try again; what `melodex serve` printed says where it happened.",
        status=MISTAKE,
    )
    return error_page(request, mistake)
