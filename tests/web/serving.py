"""A real server for tests, and a visitor of it."""

import contextlib
import re
import threading
import time
from collections.abc import Generator
from pathlib import Path

import httpx
import uvicorn

from melodex.web.app import ONLY_HERE, Access, site_for
from melodex.web.site import Site

LONGEST_WAIT = 120.0  # seconds; a busy machine that compiles kernels must not turn a test false
_TOKEN = re.compile(r'name="token" value="([^"]+)"')


class Visitor:
    """Somebody with a browser that runs no scripts."""

    def __init__(self, address: str) -> None:
        self.address = address
        self._client = httpx.Client(base_url=address, timeout=LONGEST_WAIT, trust_env=False)

    def close(self) -> None:
        self._client.close()

    def get(self, path: str, **options) -> httpx.Response:
        return self._client.get(path, **options)

    def token(self) -> str:
        tokens: set[str] = set(_TOKEN.findall(self.get("/licks").text))
        (token,) = tokens
        return token

    def post(self, path: str, data=None, *, token: str | None = None, **options) -> httpx.Response:
        """Send a form as its page does."""
        fields = {"token": self.token() if token is None else token} | (data or {})
        return self._client.post(path, data=fields, **options)

    def outcome(self, answer: httpx.Response) -> httpx.Response:
        """Follow to the page of a job and load it again until the job has ended."""
        assert answer.status_code == httpx.codes.SEE_OTHER, answer.text
        deadline = time.monotonic() + LONGEST_WAIT
        while True:
            page = self.get(answer.headers["location"])
            if 'id="progress"' not in page.text:
                return page
            assert time.monotonic() < deadline, f"the job did not end: {page.text}"
            time.sleep(0.05)


SITES: list[Site] = []
"""The sites that are served now."""


@contextlib.contextmanager
def served(catalogue: Path, access: Access = ONLY_HERE) -> Generator[str]:
    """Serve a catalogue from a thread of this process, and yield the address."""
    app = site_for(catalogue, access)
    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="warning", lifespan="on"))
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            assert thread.is_alive()
            time.sleep(0.01)
        SITES.append(app.state.site)
        port = server.servers[0].sockets[0].getsockname()[1]
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join()
        SITES[:] = [site for site in SITES if site is not app.state.site]
