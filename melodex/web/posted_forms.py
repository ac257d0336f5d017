"""Forms that a browser posts: read within bounds, only from pages of this server, and answered."""

import secrets
from collections.abc import Awaitable, Callable

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from melodex.errors import MelodexError
from melodex.web.form_fields import Fields
from melodex.web.refusals import FORBIDDEN, Refusal

MOST_FILES, MOST_FIELDS = 500, 2_000
TOKEN = "token"  # noqa: S105 - the field's name
Posted = Callable[[Request, Fields], Response]
"""What answers a form; it runs in a thread, so that others are served meanwhile."""
FormPage = Callable[[Request, Fields, MelodexError], Response]
"""What shows a form again, filled in as it was sent, with what was wrong above it."""


def posted(
    answer: Posted, form_page: FormPage | None = None
) -> Callable[[Request], Awaitable[Response]]:
    """Make a route's endpoint of what answers a form: read the form and check its token first.

    Parameters
    ----------
    form_page : callable or None
        What answers instead where ``answer`` raises an error; None for the page of errors.
    """

    def answered(request: Request, fields: Fields) -> Response:
        try:
            return answer(request, fields)
        except MelodexError as error:
            if form_page is None:
                raise
            return form_page(request, fields, error)

    async def endpoint(request: Request) -> Response:
        try:
            async with request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS) as form:
                _check_token(form, request.app.state.site.token)
                return await run_in_threadpool(answered, request, Fields(form))
        except HTTPException as error:  # Starlette's own, of a body that is no form
            raise Refusal(
                f"The form cannot be read: {error.detail}", "send it again from its page."
            ) from error

    return endpoint


def _check_token(form: FormData, token: str) -> None:
    given = form.get(TOKEN)
    if not (isinstance(given, str) and secrets.compare_digest(given.encode(), token.encode())):
        raise Refusal(
            "This form does not come from a page that this server has given out.",
            "load its page again (the server may have been started anew) and send it from there.",
            status=FORBIDDEN,
        )
