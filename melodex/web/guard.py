"""What keeps strangers out: every request passes here before any page sees it.

A page of another site that is open in the same browser could try three things: to be taken for
this site by a name of its own that leads to this machine (so the Host header is checked), to send
forms here (so their origin is checked, and `posted_forms` requires this process's token), and to
show this site inside itself or have it run a script (so every response carries a policy). A site
that other machines can reach also requires its key (`visitor_key.py`).
"""

import ipaddress
import re
from collections.abc import Callable

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from melodex.errors import MelodexError
from melodex.web.refusals import BAD_REQUEST, FORBIDDEN, MISDIRECTED, TOO_LARGE, Refusal
from melodex.web.visitor_key import VisitorKey

MOST_BYTES = 20_000_000  # of one request; a book of 2,000 tunes has 1.5 million
_LENGTH_DIGITS = 18  # of a length in bytes; Python refuses to read numbers of some thousands
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
# Source: RFC 3986, section 3.2.2 (host) and 3.2.3 (port); RFC 6454, section 7.1 (origin).
_HOST = re.compile(r"(?P<name>[\w.~!$&'()*+,;=%-]+|\[[0-9A-Fa-f:.]+\])(?::[0-9]*)?", re.ASCII)
_SCHEME = re.compile(r"[a-z][a-z0-9+.-]*://", re.ASCII | re.IGNORECASE)
ErrorPage = Callable[[MelodexError], ASGIApp]


class Guard:
    """Refuse foreign hosts, cross-site posts and huge bodies; add headers to every response.

    Parameters
    ----------
    app : ASGI application
        Handles whatever is not refused.
    host : str
        The address that is served.
    key : VisitorKey or None
        What every visitor must have; None where only this machine can visit.
    error_page : callable
        Returns the page that shows a refusal.
    """

    def __init__(
        self, app: ASGIApp, *, host: str, key: VisitorKey | None, error_page: ErrorPage
    ) -> None:
        self._app, self._host, self._key, self._error_page = app, host, key, error_page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Handle one request."""
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
            if self._key is not None and (shown := self._key.shown_in(scope)) is not None:
                await shown(scope, receive, send_guarded)
                return
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
        With status 400 where it is malformed or missing (RFC 9112, section 3.2), 421 where it is
        another's.
    """
    names = headers.getlist("host")
    found = _HOST.fullmatch(names[0]) if len(names) == 1 else None
    name = found["name"].strip("[]").rstrip(".").casefold() if found else ""
    if found is None or (found["name"].startswith("[") and not _is_address(name)):
        raise Refusal(
            "The request does not say in a valid form which site it is for.",
            "open the address that `melodex serve` printed.",
            status=BAD_REQUEST,
        )
    if name in _LOOPBACK_NAMES or name == served.casefold():
        return
    if not is_this_machine(served) and _is_address(name):
        return
    raise Refusal(
        "This site does not go by that name.",
        "open the address that `melodex serve` printed.",
        status=MISDIRECTED,
    )


def is_this_machine(served: str) -> bool:
    """Whether only this machine itself can reach an address that is served."""
    if served.casefold() in _LOOPBACK_NAMES:
        return True
    return _is_address(served) and ipaddress.ip_address(served).is_loopback


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
        With status 403, or 400 where the origin is malformed.
    """
    fetched_from = headers.get("sec-fetch-site", "same-origin")
    origin = headers.get("origin", "null")
    scheme = _SCHEME.match(origin)
    host = origin[scheme.end() :] if scheme else None
    if origin != "null" and (host is None or not _HOST.fullmatch(host)):
        raise Refusal(
            "The request does not say in a valid form which page sent it.",
            "fill the form in on the page of this site.",
            status=BAD_REQUEST,
        )
    is_ours = "origin" not in headers or host == headers.get("host")
    if not is_ours or fetched_from not in {"same-origin", "none"}:
        raise Refusal(
            "This form was sent by another site.",
            "fill it in on the page of this site.",
            status=FORBIDDEN,
        )


def check_length(headers: Headers) -> None:
    """Refuse a body whose own header says that it is too large.

    Raises
    ------
    Refusal
        With status 413, or 400 where the header is not a number (RFC 9110, section 8.6).
    """
    length = headers.get("content-length", "0")
    if not (length.isascii() and length.isdecimal()):
        raise Refusal(
            "The request does not say in a valid form how long it is.",
            "send it again from its page.",
            status=BAD_REQUEST,
        )
    if len(length) > _LENGTH_DIGITS or int(length) > MOST_BYTES:
        raise _too_large()


def _bounded(receive: Receive) -> Receive:
    """Stop reading a body that turns out too large, whatever its header said."""
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
        "send fewer files, or use `melodex add` on the command line, which has no such limit.",
        status=TOO_LARGE,
    )
