"""Form handlers: a posted form is read within limits, and only from pages of this server."""

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
"""What handles a form; it runs in a thread, so that others are served meanwhile."""
FormPage = Callable[[Request, Fields, MelodexError], Response]
"""What shows a form again, filled in as it was sent, with what was wrong above it."""


def posted(
    handler: Posted, form_page: FormPage | None = None, *, changes: bool = True
) -> Callable[[Request], Awaitable[Response]]:
    """Return a route's endpoint that reads a form, checks its token, and passes it on.

    Parameters
    ----------
    form_page : callable or None
        What shows the form again where ``handler`` raises an error; None for the page of errors.
    changes : bool
        Whether the form changes the catalogue; a site that is read-only then refuses it.
    """

    def handled(request: Request, form: FormData) -> Response:
        fields = Fields(form)
        try:
            _check_token(form, request.app.state.site.token)
            return handler(request, fields)
        except MelodexError as error:
            if form_page is None:
                raise
            try:
                return form_page(request, fields, error)
            except MelodexError:  # what the page is of is gone
                raise error from None

    async def endpoint(request: Request) -> Response:
        if changes and not request.app.state.site.may_change:
            raise Refusal(
                "This site may be read but not changed.",
                "whoever serves it can start it with --allow-changes.",
                status=FORBIDDEN,
            )
        try:
            async with request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS) as form:
                return await run_in_threadpool(handled, request, form)
        except HTTPException as error:  # Starlette's own, of a body that is no form
            raise Refusal(
                f"The form cannot be read: {error.detail}", "send it again from its page."
            ) from error

    return endpoint


def _check_token(form: FormData, token: str) -> None:
    given = form.get(TOKEN)
    if not (isinstance(given, str) and secrets.compare_digest(given.encode(), token.encode())):
        raise Refusal(
            "Nothing was changed: this form is not from a page of this server as it runs now.",
            "it may have been restarted; look at the form and send it again.",
            status=FORBIDDEN,
        )
