"""What the benchmarks share: medians, and a catalogue of the bundled collections."""

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from melodex.finder.collection.add_songs import add_songs
from melodex.index.store import Catalogue, open_catalogue

COLLECTIONS = ("essenFolksong", "oneills1850", "ryansMammoth", "airdsAirs")
REPEATS = 7


def median_seconds(task: Callable[[], object], repeats: int = REPEATS) -> float:
    """Time a task, once more than is counted, so that what is compiled or cached is."""
    task()
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        task()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def bundled_catalogue(path: Path | None = None) -> Catalogue:
    """Open a catalogue of the four bundled collections, reading what it lacks."""
    folder = Path(tempfile.gettempdir()) / "melodex-benchmarks"
    catalogue = open_catalogue(path or folder / "bundled.db", create=True)
    report = add_songs(catalogue, [], bundled=COLLECTIONS)
    print(f"{report.added + report.unchanged + report.updated} songs, {len(report.failed)} lost")
    return catalogue
