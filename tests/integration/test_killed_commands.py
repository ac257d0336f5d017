"""Commands that write, killed at random moments; by hand with 1,000 kills."""

import subprocess
import sys

from tests.benchmarks.killed_commands import COMMANDS


def test_a_killed_command_loses_nothing_and_the_next_one_works():
    command = [sys.executable, "-m", "tests.benchmarks.killed_commands", "--kills", "16"]
    ended = subprocess.run(command, check=False, capture_output=True, text=True)
    assert ended.returncode == 0, ended.stdout + ended.stderr
    assert ended.stdout.count(": 0 faults") == len(COMMANDS)
