"""What keeps strangers out: every request passes here before any page sees it.

A page of another site that is open in the same browser could try three things: to be taken for
this site by a name of its own that leads to this machine (so the Host header is checked), to send
forms here (so their origin is checked, and `forms` asks for this process's token), and to show
this site inside itself or have it run a script (so every answer carries a policy).
"""

import ipaddress
from collections.abc import Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from melodex.errors import MelodexError
from melodex.web.refusals import FORBIDDEN, MISDIRECTED, TOO_LARGE, Refusal

MOST_BYTES = 20_000_000  # of one request; a book of 2,000 tunes has 1.5 million
SAFE_METHODS = frozenset({"GET", "HEAD"})
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
# A picture is a document of its own, and those of audits style themselves.
_POLICY_OF_PICTURES = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'"
_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # none at all would take the origin from our own forms
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
_LOOPBACK_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})
ErrorPage = Callable[[MelodexError], ASGIApp]


class Guard:
    """Refuses foreign hosts, cross-site posts and huge bodies; adds headers to every answer.

    Parameters
    ----------
    app : ASGI application
        What answers when nothing is refused.
    host : str
        The address that is served.
    error_page : callable
        Gives the page that shows a refusal.
    """

    def __init__(self, app: ASGIApp, *, host: str, error_page: ErrorPage) -> None:
        self._app, self._host, self._error_page = app, host, error_page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                is_picture = headers.get("content-type", "").startswith("image/")
                headers["Content-Security-Policy"] = _POLICY_OF_PICTURES if is_picture else _POLICY
                for name, value in _HEADERS.items():
                    headers[name] = value
            await send(message)

        headers = Headers(scope=scope)
        try:
            check_host(headers, self._host)
            if scope["method"] not in SAFE_METHODS:
                check_origin(headers)
                check_length(headers)
        except Refusal as refusal:
            await self._error_page(refusal)(scope, receive, send_guarded)
            return
        await self._app(scope, _bounded(receive), send_guarded)


def check_host(headers: Headers, served: str) -> None:
    """Refuse a request that was meant for another name than this site's.

    Parameters
    ----------
    served : str
        The address that is served. One that other machines can reach has many names; of these
        every plain address is accepted, since only a name can be made to lead here by a stranger.

    Raises
    ------
    Refusal
        With status 421.
    """
    name = _host_of(f"//{headers.get('host', '')}").rstrip(".")
    if name in _LOOPBACK_NAMES or name == served.casefold():
        return
    if served not in _LOOPBACK_NAMES and _is_address(name):
        return
    raise Refusal(
        "This site does not go by that name.",
        "open the address that `melodex serve` printed.",
        status=MISDIRECTED,
    )


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def check_origin(headers: Headers) -> None:
    """Refuse a form that a page of another site has sent.

    Raises
    ------
    Refusal
        With status 403.
    """
    fetched_from = headers.get("sec-fetch-site", "same-origin")
    origin = headers.get("origin")
    host = headers.get("host", "")
    is_ours = origin is None or (bool(_host_of(origin)) and origin.partition("//")[2] == host)
    if not is_ours or fetched_from not in {"same-origin", "none"}:
        raise Refusal(
            "This form was sent by another site.",
            "fill it in on the page of this site.",
            status=FORBIDDEN,
        )


def _host_of(address: str) -> str:
    """Return the host of an address; empty where it has none or is malformed."""
    try:
        return urlsplit(address).hostname or ""
    except ValueError:
        return ""


def check_length(headers: Headers) -> None:
    """Refuse a body that says itself that it is too large.

    Raises
    ------
    Refusal
        With status 413.
    """
    length = headers.get("content-length", "0")
    if not length.isdecimal() or int(length) > MOST_BYTES:
        raise _too_large()


def _bounded(receive: Receive) -> Receive:
    """Stop reading a body that turns out too large, whatever it said of itself."""
    so_far = 0

    async def receive_bounded() -> Message:
        nonlocal so_far
        message = await receive()
        so_far += len(message.get("body", b""))
        if so_far > MOST_BYTES:
            raise _too_large()
        return message

    return receive_bounded


def _too_large() -> Refusal:
    return Refusal(
        f"That is more than {MOST_BYTES // 1_000_000} MB at once.",
        "send fewer files, or use `melodex add` on the command line, which has no such bound.",
        status=TOO_LARGE,
    )
