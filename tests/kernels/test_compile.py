"""Compiled kernels are cached, and work whatever is wrong with the cache."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from melodex.kernels import subsequence_dtw

# Prints the result of a small kernel, then how often it was compiled.
PROGRAM = """
import numpy as np
from melodex.kernels.lesson_order import is_better
print(is_better(np.array([0, 0, 2, 2, 3]), np.array([0, 0, 1, 2, 3]), 1))
print(sum(is_better.stats.cache_misses.values()))
"""


@pytest.fixture
def answers(tmp_path):
    """Return a function that runs the program with a kernel cache of the test's own."""

    def run():
        environment = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)}
        command = [sys.executable, "-c", PROGRAM]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
        assert done.stderr == ""
        return done.stdout.split()

    return run


def test_a_kernel_is_compiled_once_a_machine(answers):
    assert answers() == ["True", "1"]
    assert answers() == ["True", "0"]


@pytest.mark.parametrize("suffix", ["nbi", "nbc"])
@pytest.mark.parametrize("kept", [0, 30])
def test_damaged_files_of_a_kernel_are_replaced(answers, tmp_path, suffix, kept):
    answers()
    for path in tmp_path.rglob(f"*.{suffix}"):
        path.write_bytes(path.read_bytes()[:kept])
    assert answers() == ["True", "1"]
    assert answers() == ["True", "0"]


def test_a_kernel_is_compiled_anew_when_another_that_is_part_of_it_has_changed(tmp_path):
    package = tmp_path / "kernels"
    package.mkdir()
    folder = Path(subsequence_dtw.__file__).parent
    source = (folder / "_compile.py").read_text(encoding="utf-8")
    (package / "__init__.py").touch()
    (package / "_compile.py").write_text(source, encoding="utf-8")
    (package / "whole.py").write_text(
        "from kernels._compile import compiled\nfrom kernels.part import part\n\n\n"
        "@compiled\ndef whole(number):\n    return part(number)\n",
        encoding="utf-8",
    )
    program = "from kernels.whole import whole\nprint(whole(1))\n"
    printed = []
    for more in (1, 20):
        (package / "part.py").write_text(
            "from kernels._compile import inlined\n\n\n"
            f"@inlined\ndef part(number):\n    return number + {more}\n",
            encoding="utf-8",
        )
        environment = {
            **os.environ,
            "NUMBA_CACHE_DIR": str(tmp_path / "kept"),
            "PYTHONPATH": os.pathsep.join([str(tmp_path), *sys.path]),
        }
        command = [sys.executable, "-c", program]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
        printed.append(int(done.stdout))
    assert printed == [2, 21]
