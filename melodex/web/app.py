"""The site: which page answers which address."""

import contextlib
from collections.abc import AsyncGenerator
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Receive, Scope, Send

from melodex.errors import MelodexError
from melodex.web.guard import Guard
from melodex.web.jobs import Jobs
from melodex.web.pages import FOLDER, error_page
from melodex.web.posted_forms import posted
from melodex.web.refusals import NOT_ALLOWED, NOT_FOUND, Refusal
from melodex.web.routes import (
    compare_pages,
    find_pages,
    hands_pages,
    job_pages,
    lick_pages,
    place_pages,
    plan_pages,
    saved_pages,
    song_pages,
    teaching_pages,
)
from melodex.web.site import Site

_GIVEN_UP = "Something went wrong on this page, and that is a mistake of melodex, not yours."


def site_for(catalogue: Path, *, host: str = "127.0.0.1") -> Starlette:
    """Make the site of a catalogue, as an ASGI application.

    Parameters
    ----------
    catalogue : Path
        Its file; made when it is missing.
    host : str
        The address that is served: requests for other names are refused.
    """

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncGenerator[None]:
        with contextlib.closing(Jobs(catalogue)) as jobs:
            app.state.site = Site(catalogue, jobs)
            yield

    return Starlette(
        routes=_routes(),
        middleware=[Middleware(Guard, host=host, error_page=_page_of_refusal)],
        exception_handlers={
            MelodexError: _show_error,
            HTTPException: _show_http_error,
            Exception: _show_mistake,
        },
        lifespan=lifespan,
    )


def _routes() -> list[Route | Mount]:
    return [
        Route("/", song_pages.songs),
        Route("/songs", song_pages.song_named),
        Route("/songs/{song}", song_pages.song),
        Route("/songs/{song}/near", song_pages.near),
        Route("/songs/{song}/tab", hands_pages.tab),
        Route("/songs/{song}/tab.{kind}", hands_pages.save_tab),
        Route("/songs/{song}/arrange", hands_pages.arrange),
        Route("/songs/{song}/arrange.{kind}", hands_pages.save_arrangement),
        Route("/place", place_pages.place),
        Route("/place.{kind}", place_pages.save_placed),
        Route("/add", song_pages.add_form),
        Route("/add", posted(song_pages.add_files, song_pages.add_form), methods=["POST"]),
        Route("/find", find_pages.find),
        Route("/find/report", find_pages.save_answers),
        Route("/licks", lick_pages.licks),
        Route("/licks", posted(lick_pages.begin_licks, lick_pages.licks), methods=["POST"]),
        Route("/licks/keep", posted(lick_pages.keep), methods=["POST"]),
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
            posted(teaching_pages.begin_student, teaching_pages.student),
            methods=["POST"],
        ),
        Route("/audit", teaching_pages.audit),
        Route("/audit", posted(teaching_pages.begin_audit, teaching_pages.audit), methods=["POST"]),
        Route("/saved", saved_pages.saved),
        Route("/saved", posted(saved_pages.save, saved_pages.saved), methods=["POST"]),
        Route("/saved/{work}", saved_pages.opened),
        Route("/saved/{work}/file", saved_pages.file),
        Route("/saved/{work}/delete", saved_pages.confirm_delete),
        Route("/saved/{work}/delete", posted(saved_pages.delete), methods=["POST"]),
        Route(
            "/saved/{work}/rename",
            posted(saved_pages.rename, saved_pages.opened),
            methods=["POST"],
        ),
        Route("/saved/{work}/copy", posted(saved_pages.copy), methods=["POST"]),
        Route("/saved/{work}/undo", posted(saved_pages.undo), methods=["POST"]),
        Route(
            "/saved/{work}/text",
            posted(saved_pages.change, saved_pages.opened),
            methods=["POST"],
        ),
        Route(
            "/saved/{work}/order",
            posted(plan_pages.reorder, saved_pages.opened),
            methods=["POST"],
        ),
        Route("/jobs/{number:int}", job_pages.job),
        Route("/jobs/{number:int}/stop", posted(job_pages.stop), methods=["POST"]),
        Route("/jobs/{number:int}/{name}", job_pages.file),
        Mount("/static", StaticFiles(directory=FOLDER / "static")),
        Mount("/music", StaticFiles(packages=[("melodex.engraving", "static")])),
    ]


def _page_of_refusal(error: MelodexError) -> ASGIApp:
    """Return the page of a refusal, for the guard, which runs before the routes."""

    async def show(scope: Scope, receive: Receive, send: Send) -> None:
        await error_page(Request(scope, receive), error)(scope, receive, send)

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
    del request, error  # the server's log has it
    return PlainTextResponse(_GIVEN_UP, 500)
