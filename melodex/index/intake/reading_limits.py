"""The time and the memory that reading one file may take, and how a process limits itself."""

import contextlib
import sys

# Measured on all kinds of files that music21 carries, the largest of each: kern takes up to
# 0.09 s a KB, compressed MusicXML 0.04, MusicXML and ABC 0.002; music21 itself loads in 0.25 to
# 0.5 s. A machine ten times as slow stays within these limits for all but the largest kern.
LEAST_SECONDS = 10.0
SECONDS_PER_BYTE = 0.4e-3
MOST_SECONDS = 600.0
# The same files took at most 260 MB, 130 MB of which are Python, numpy and music21.
MOST_MEMORY = 768 * 2**20  # bytes

# Each thread of numpy's linear algebra reserves memory of its own, and no reader has use for any.
ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}


def seconds_for(size: int) -> float:
    """Return how many seconds reading a file may take, by its size in bytes."""
    return min(max(LEAST_SECONDS, size * SECONDS_PER_BYTE), MOST_SECONDS)


def limit_memory() -> None:
    """Let this process take no more than `MOST_MEMORY`; only Linux keeps to such a limit.

    What goes beyond raises a MemoryError, or stops the process.
    """
    if sys.platform == "linux":
        import resource

        _, hard = resource.getrlimit(resource.RLIMIT_DATA)
        most = MOST_MEMORY if hard == resource.RLIM_INFINITY else min(MOST_MEMORY, hard)
        with contextlib.suppress(OSError, ValueError):  # forbidden: then there is no limit
            resource.setrlimit(resource.RLIMIT_DATA, (most, hard))
