"""Styles and scripts under addresses that change with their content, so that browsers keep them."""

import hashlib
from functools import cache
from pathlib import Path
from urllib.parse import parse_qs

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from melodex import engraving

_VERSION = "v"  # the field of an address that carries the hash
_HASH_DIGITS = 16  # 64 bits; two versions of one file never share them by chance
# A year is what HTTP caches take for good (RFC 9111, section 1.2.2); "immutable" is RFC 8246.
_FOR_GOOD = "public, max-age=31536000, immutable"


def static_folders() -> dict[str, Path]:
    """Return the folders of static files, each by the path it is served under."""
    return {
        "/static": Path(__file__).with_name("static"),
        "/music": Path(engraving.__path__[0]) / "static",
    }


@cache
def versioned(path: str) -> str:
    """Return the address of a static file, with a hash of its content.

    Examples
    --------
    >>> versioned("/static/icon.svg").startswith("/static/icon.svg?v=")
    True
    """
    mount, _, name = path[1:].partition("/")
    return f"{path}?{_VERSION}={_hash_of(static_folders()[f'/{mount}'] / name)}"


def _hash_of(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()[:_HASH_DIGITS]


class ContentFiles(StaticFiles):
    """Static files; one requested with the hash of its content may be kept for good."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return a file, to be checked again each time unless its address carries its hash."""
        response = await super().get_response(path, scope)
        given = parse_qs(scope["query_string"].decode("latin-1")).get(_VERSION)
        is_current = given is not None and given == [_hash_of(Path(str(self.directory)) / path)]
        response.headers["Cache-Control"] = _FOR_GOOD if is_current else "no-cache"
        return response
