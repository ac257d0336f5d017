"""Whole commands against ``python -c "import numpy"``, in turn.

Run: python -m tests.benchmarks.start_up
"""

import os
import statistics
import subprocess
import sys
import time

from melodex.index.blocks import load_blocks
from tests.benchmarks.measuring import REPEATS, bundled_catalogue

YARDSTICK = [sys.executable, "-c", "import numpy"]
COMMANDS = {
    "melodex --help": ["--help"],
    "melodex songs airds": ["songs", "cockade"],
    "melodex find": ["find", "--notes", "D4 E4 G4 B4 A4 G4 E4 D4 G4 A4 B4 G4"],
}


def seconds_of(command: list[str], environment: dict[str, str]) -> float:
    """Time one process from start to end."""
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, env=environment)
    return time.perf_counter() - begun


def main() -> None:
    """Print each command's median ratio to the yardstick, taken pair by pair."""
    with bundled_catalogue() as catalogue:
        load_blocks(catalogue)
        environment = {**os.environ, "MELODEX_CATALOGUE": str(catalogue.path)}
    for name, arguments in COMMANDS.items():
        command = [sys.executable, "-m", "melodex", *arguments]
        seconds_of(command, environment)  # compiles the kernels where they are not yet
        pairs = [
            (seconds_of(command, environment), seconds_of(YARDSTICK, environment))
            for _ in range(REPEATS)
        ]
        ratio = statistics.median(own / yardstick for own, yardstick in pairs)
        own = statistics.median(own for own, _ in pairs)
        print(f"{name:24} {1e3 * own:7.0f} ms, {ratio:5.1f} times import numpy")


if __name__ == "__main__":
    main()
