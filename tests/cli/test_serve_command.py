"""The command `serve`."""

import re
import signal
import socket
import subprocess
import sys

import httpx

from melodex.cli import INTERRUPTED


def test_serve_prints_an_address_that_answers_until_it_is_interrupted(catalogue):
    command = [sys.executable, "-m", "melodex", "serve", "--port", "0", "--catalogue", catalogue]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None
        (address,) = re.findall(r"http://127\.0\.0\.1:\d+/", run.stdout.readline())
        page = httpx.get(address, trust_env=False)
        assert "The Weir at Dusk" in page.text
        run.send_signal(signal.SIGINT)
        _, told = run.communicate()
    assert run.returncode == INTERRUPTED
    assert "Traceback" not in told


def test_a_port_that_is_taken_is_told_with_a_way_on(run, catalogue):
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
