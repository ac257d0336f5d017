"""How fast ABC becomes songs, beside music21 on the same texts, one process each.

Run: python -m tests.benchmarks.reading_speed [--tunes N]
"""

import argparse
import random
import time
import warnings
from collections.abc import Callable, Sequence

from music21 import converter

from melodex.parsing.abc.abc_reader import read_abc
from tests.benchmarks.abc_against_music21 import bundled_tunes

ROUNDS = 5  # the reader under test is timed this often, half before and half after music21


def tunes_a_second(read: Callable[[str], object], texts: Sequence[str]) -> float:
    """Time a reader over all texts, in processor time of this process."""
    begun = time.process_time()
    for text in texts:
        read(text)
    return len(texts) / (time.process_time() - begun)


def main() -> None:
    """Print both speeds and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tunes", type=int, default=300, help="how many tunes to draw")
    wanted = parser.parse_args().tunes
    tunes = random.Random(1).sample([tune.text for tune in bundled_tunes()], wanted)  # noqa: S311
    warnings.simplefilter("ignore")
    converter.parse(tunes[0], format="abc")  # loads what music21 loads late
    before = [tunes_a_second(lambda text: read_abc(text, ""), tunes) for _ in range(ROUNDS)]
    witness = tunes_a_second(lambda text: converter.parse(text, format="abc"), tunes)
    after = [tunes_a_second(lambda text: read_abc(text, ""), tunes) for _ in range(ROUNDS)]
    ours = sorted(before + after)[ROUNDS]
    print(f"{wanted} tunes drawn from the four bundled collections")
    print(f"melodex {ours:7.0f} tunes/s")
    print(f"music21 {witness:7.1f} tunes/s")
    print(f"ratio   {ours / witness:7.1f}")


if __name__ == "__main__":
    main()
