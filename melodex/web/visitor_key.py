"""The key of a site that other machines can reach: in the printed address, then in a cookie."""

import secrets
from urllib.parse import parse_qsl, quote, urlencode

from starlette.requests import HTTPConnection
from starlette.responses import HTMLResponse, Response
from starlette.types import Scope

from melodex.web.refusals import FORBIDDEN, Refusal

FIELD = "key"  # of the address
_KEY_BYTES = 32
# What looks the same in every melodex, so that the page of a refusal has its style.
_PUBLIC = ("/static/", "/music/")


def new_key() -> str:
    """Return a key that nobody can guess."""
    return secrets.token_urlsafe(_KEY_BYTES)


class VisitorKey:
    """What every visitor of a site must have.

    Parameters
    ----------
    key : str
        From ``new_key``.
    """

    def __init__(self, key: str) -> None:
        self._key = key.encode()

    def shown_in(self, scope: Scope) -> Response | None:
        """Check a request for the key.

        Returns
        -------
        Response or None
            Where the key stands in the address, a page that keeps it in a cookie and goes on to
            the same address without it; None where the visitor may pass.

        Raises
        ------
        Refusal
            With status 403, if the request has no key or a wrong one.
        """
        query = parse_qsl(scope["query_string"].decode("latin-1"), keep_blank_values=True)
        if any(name == FIELD and self._is_key(value) for name, value in query):
            return self._keep(scope, [pair for pair in query if pair[0] != FIELD])
        kept = HTTPConnection(scope).cookies.get(_cookie_of(scope), "")
        if self._is_key(kept) or scope["path"].startswith(_PUBLIC):
            return None
        raise Refusal(
            "This site is open only to those who have its key.",
            "open the whole address that `melodex serve` printed, with its key.",
            status=FORBIDDEN,
        )

    def _is_key(self, given: str) -> bool:
        return secrets.compare_digest(given.encode(), self._key)

    def _keep(self, scope: Scope, query: list[tuple[str, str]]) -> Response:
        # A redirect would belong to the page whose link was followed, and where that is another
        # site's, browsers would not send a strict cookie along; this page is the site's own.
        # Source: RFC 6265bis, section 5.2 (same-site requests and redirects), from memory.
        address = "/" + quote(scope["path"].lstrip("/")) + (f"?{urlencode(query)}" if query else "")
        headers = {"Refresh": f"0; url={address}", "Cache-Control": "no-store"}
        page = HTMLResponse(_GO_ON, headers=headers)
        page.set_cookie(_cookie_of(scope), self._key.decode(), httponly=True, samesite="strict")
        return page


def _cookie_of(scope: Scope) -> str:
    """Return the cookie's name, one for each port: browsers send it to all ports of a machine."""
    _, port = scope.get("server") or ("", None)
    return f"melodex-key-{port}"


_GO_ON = (
    '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>melodex</title></head>'
    '<body><p>The key is kept. <a href="/">Go on to the songs</a></p></body></html>'
)
