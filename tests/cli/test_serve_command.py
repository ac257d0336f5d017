"""The command `serve`."""

import re
import signal
import socket
import subprocess
import sys

import httpx
import pytest

from melodex.cli import INTERRUPTED

LONGEST_WAIT = 60.0  # seconds; a busy machine must not turn a test false


@pytest.fixture
def served(catalogue):
    """A server in a process of its own, which hears Ctrl-C, as in a terminal."""
    command = [sys.executable, "-m", "melodex", "serve", "--port", "0", "--catalogue", catalogue]
    process = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    with process:
        yield process
        process.kill()


def test_serve_prints_an_address_that_answers_until_it_is_interrupted(served):
    (address,) = re.findall(r"http://127\.0\.0\.1:\d+/", served.stdout.readline())
    page = httpx.get(address, trust_env=False, timeout=LONGEST_WAIT)
    assert "The Weir at Dusk" in page.text
    served.send_signal(signal.SIGINT)
    _, told = served.communicate(timeout=LONGEST_WAIT)
    assert served.returncode == INTERRUPTED
    assert "Traceback" not in told


def test_a_port_in_use_is_reported_with_a_next_step(run, catalogue):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        outcome = run("serve", "--port", other.getsockname()[1], "--catalogue", catalogue)
    assert outcome.code == 1
    assert "Nothing can be served" in outcome.err
    assert "--port 0" in outcome.err


def test_a_file_that_is_no_catalogue_is_not_served(run, tmp_path):
    (tmp_path / "letter.db").write_text("Dear all, ...", encoding="utf-8")
    outcome = run("serve", "--port", "0", "--catalogue", tmp_path / "letter.db")
    assert outcome.code == 1
    assert "is not a melodex catalogue" in outcome.err


@pytest.fixture
def serve_briefly(run, tmp_path, monkeypatch):
    """Run the command, whose server ends at once."""
    monkeypatch.setattr("uvicorn.Server.run", lambda *_, **__: None)
    return lambda *options: run("serve", "--port", "0", "--catalogue", tmp_path / "a.db", *options)


NETWORK = ("--host", "0.0.0.0")  # noqa: S104 - every address of this machine


def test_a_site_for_the_network_prints_an_address_with_a_key_and_warns(serve_briefly):
    outcome = serve_briefly(*NETWORK)
    assert re.search(r"http://0\.0\.0\.0:\d+/\?key=[\w-]{40,} ", outcome.out)
    assert "may read this catalogue" in outcome.err
    assert "not encrypted" in outcome.err


def test_the_key_is_another_each_time(serve_briefly):
    first, second = (serve_briefly(*NETWORK).out.partition("key=")[2] for _ in range(2))
    assert first != second


def test_changes_from_other_machines_are_allowed_by_an_option_and_mentioned_in_the_warning(
    serve_briefly,
):
    outcome = serve_briefly(*NETWORK, "--allow-changes")
    assert "may read and change this catalogue" in outcome.err


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "127.0.0.2"])
def test_a_site_for_this_machine_alone_needs_no_key_and_no_warning(serve_briefly, host):
    outcome = serve_briefly("--host", host)
    assert "key" not in outcome.out
    assert "Warning" not in outcome.err
