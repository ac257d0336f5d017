"""Damage inputs of a format, read them, and report what no reader should do.

    python -m tests.fuzzing --format abc --count 100000 --seed 0

A finding is an exception that is no melodex error, a failure that stems from one, a process that
dies, and an input that takes longer than 10 seconds. ``--show NUMBER`` writes one input to stdout.
"""

import argparse
import sys

from tests.fuzzing.campaign import fuzz
from tests.fuzzing.fuzz_formats import FORMATS
from tests.fuzzing.trials import damaged_input


def main() -> None:
    """Run one campaign a format; exit code 1 if it found anything."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzzing", description=__doc__)
    parser.add_argument("--format", choices=FORMATS, action="append", help="repeatable; else all")
    parser.add_argument("--count", type=int, default=1_000, help="inputs of each format")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--show", type=int, metavar="NUMBER", help="write that input to stdout")
    options = parser.parse_args()
    names = options.format or list(FORMATS)
    if options.show is not None:
        seeds = FORMATS[names[0]].seeds()
        sys.stdout.buffer.write(damaged_input(names[0], options.seed, options.show, seeds))
        return
    results = [_report(name, options.count, options.seed) for name in names]
    sys.exit(1 if any(results) else 0)


def _report(name: str, count: int, seed: int) -> int:
    """Print what came of a format; return how many findings there are."""
    campaign = fuzz(name, count, seed)
    print(
        f"{name}: {campaign.inputs:,} inputs, {campaign.refused:,} refused in whole or in part, "
        f"{len(campaign.findings):,} findings; slowest {campaign.slowest:.2f} s "
        f"(input {campaign.slowest_number}); peak memory {campaign.peak_memory / 2**20:.0f} MB"
    )
    for place, numbers in sorted(campaign.places.items()):
        print(f"  {len(numbers):,} x {place} (input {numbers[0]})")
    return len(campaign.findings)


if __name__ == "__main__":
    main()
