"""Recurring licks: time and memory by the number of songs, and figures on the songbook.

python -m tests.benchmarks.licks [CATALOGUE]: one of the bundled collections, made if need be.

20 licks of all 12,760 songs take 52 s of processor time on a busy machine, tab and names included,
and 570 MB; three fifths of it go into finding versions of one tune, a third into aligning 60 licks
with every song. On the songbook recall 1.000 of the planted licks, precision .822 of planted and
real recurrences.
"""

import argparse
import resource
import tempfile
import time
from itertools import islice
from pathlib import Path

import numpy as np
from mir_eval import pattern

from melodex.finder.collection.demo import add_songbook
from melodex.finder.recurring_licks import recurring_licks
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue, open_catalogue
from melodex.phrases.families import families_of
from tests.benchmarks.measuring import bundled_catalogue
from tests.licks_truth import read_book

LICKS = 20
SIZES = (3_000, 6_000, 12_000)
MEGABYTES = 1024  # ru_maxrss is in kilobytes


def growth(catalogue: Catalogue) -> None:
    """Print how long the families of some songs take; songs are spread over the collections."""
    blocks = load_blocks(catalogue)
    everywhere = np.ones(len(blocks.songs.pitches), np.bool_)
    next(families_of(blocks.songs, np.arange(200), everywhere))  # compiles
    for size in (*SIZES, len(blocks.song_ids)):
        if size > len(blocks.song_ids):
            continue
        asked = np.unique(np.linspace(0, len(blocks.song_ids) - 1, size).astype(np.int64))
        begun = time.perf_counter()
        list(islice(families_of(blocks.songs, asked, everywhere), LICKS))
        print(f"{size:6} songs {time.perf_counter() - begun:6.1f} s  {peak_megabytes()} MB")


def whole_command(catalogue: Catalogue) -> None:
    """Print how long the finder takes with all it tells of each place, and over a chord."""
    for chord in (None, "C"):
        begun = time.perf_counter()
        found = recurring_licks(catalogue, limit=LICKS, chord=chord)
        seconds = time.perf_counter() - begun
        print(f"{len(found)} licks, chord {chord}: {seconds:.1f} s, {peak_megabytes()} MB")


def songbook() -> None:
    """Print establishment precision and recall on the songbook."""
    with (
        tempfile.TemporaryDirectory() as folder,
        open_catalogue(Path(folder) / "songs.db", create=True) as catalogue,
    ):
        add_songbook(catalogue)
        book = read_book(catalogue, limit=LICKS)
    for name, truth in {
        "planted": book.planted,
        "planted and real": [*book.planted, *book.recurring],
    }.items():
        _, precision, recall = pattern.establishment_FPR(truth, book.found)
        print(f"{name}: precision {precision:.3f}, recall {recall:.3f}")


def peak_megabytes() -> int:
    """Tell the most memory that this process has had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // MEGABYTES


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("catalogue", nargs="?", type=Path)
    with bundled_catalogue(parser.parse_args().catalogue) as bundled:
        growth(bundled)
        whole_command(bundled)
    songbook()
