"""Read damaged inputs one after the other; what a fuzzing process runs.

An input follows from the format, the seed and its number alone, so that any of them can be made
again: ``python -m tests.fuzzing --format abc --show 4711``.
"""

import faulthandler
import json
import os
import random
import resource
import sys
import tempfile
import time
import traceback
from pathlib import Path
from typing import TypedDict

from melodex.errors import MelodexError
from tests.fuzzing.fuzz_formats import FORMATS
from tests.fuzzing.mutation import mutated

MOST_SECONDS = 10.0  # an input
MOST_ADDRESSES = 2 * 2**30  # bytes; libraries reserve more than they use, so peaks are lower
# How failures read that stem from an exception which nobody expected.
UNEXPECTED = ("its reader failed", "melodex failed at it")


class Finding(TypedDict):
    """An input that was read as none should be."""

    number: int
    problem: str  # its last line says what, the ones before where


class Summary(TypedDict):
    """What one process did."""

    inputs: int
    refused: int  # of them, those that gave an error or only failures
    slowest: float  # seconds
    slowest_number: int
    peak_memory: int  # bytes


def damaged_input(format_name: str, seed: int, number: int, seeds: list[bytes]) -> bytes:
    """Make the input of that number."""
    chance = random.Random(f"{format_name} {seed} {number}")  # noqa: S311
    return mutated(seeds, FORMATS[format_name].tokens, chance)


def run_trials(format_name: str, seed: int, numbers: range, progress: Path) -> None:
    """Read inputs, write findings and last a summary to stdout, a line of JSON each.

    Parameters
    ----------
    progress : Path
        A file that always holds the number of the input being read; when an input takes more than
        ``MOST_SECONDS``, the process ends and leaves it there.
    """
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, MOST_ADDRESSES))
    reader = FORMATS[format_name]
    seeds = reader.seeds()
    summary = Summary(inputs=0, refused=0, slowest=0.0, slowest_number=0, peak_memory=0)
    with tempfile.TemporaryDirectory() as name, progress.open("wb", buffering=0) as place:
        for content in seeds:  # what a reader loads when it first reads is not an input's time
            _trial(format_name, content, Path(name))
        for number in numbers:
            os.pwrite(place.fileno(), b"%12d" % number, 0)
            content = damaged_input(format_name, seed, number, seeds)
            faulthandler.dump_traceback_later(MOST_SECONDS, exit=True)
            begun = time.perf_counter()
            problem, was_refused = _trial(format_name, content, Path(name))
            seconds = time.perf_counter() - begun
            faulthandler.cancel_dump_traceback_later()
            summary["inputs"] += 1
            summary["refused"] += was_refused
            if seconds > summary["slowest"]:
                summary["slowest"], summary["slowest_number"] = seconds, number
            if problem:
                print(json.dumps(Finding(number=number, problem=problem)), flush=True)
    summary["peak_memory"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    print(json.dumps(summary))


def _trial(format_name: str, content: bytes, folder: Path) -> tuple[str, bool]:
    """Read one input; return what went wrong, if anything, and whether the input was refused."""
    try:
        failures = FORMATS[format_name].read(content, folder)
    except MelodexError:
        return "", True
    except BaseException:  # noqa: BLE001 - that is what is looked for
        return traceback.format_exc(), True
    unexpected = [reason for reason in failures if any(mark in reason for mark in UNEXPECTED)]
    return "\n".join(unexpected), bool(failures)


if __name__ == "__main__":
    name, seed, first, end, progress = sys.argv[1:]
    run_trials(name, int(seed), range(int(first), int(end)), Path(progress))
