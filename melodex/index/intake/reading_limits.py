"""Limits on the time and memory for reading one file."""

import contextlib
import sys

# Measured on the largest bundled file of each kind: kern takes up to 0.09 s a KB, compressed
# MusicXML 0.04, MusicXML and ABC 0.002; music21 itself loads in 0.25 to 0.5 s. A machine ten times
# slower stays within these limits except for the largest kern files.
LEAST_SECONDS = 10.0
SECONDS_PER_BYTE = 0.4e-3
MOST_SECONDS = 600.0
# The same files took at most 260 MB, of which Python, numpy and music21 take 130 MB.
MOST_MEMORY = 768 * 2**20  # bytes

# Each thread of numpy's linear algebra reserves memory, and readers need none.
ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}


def seconds_for(size: int) -> float:
    """Return how many seconds reading a file may take, given its size in bytes."""
    return min(max(LEAST_SECONDS, size * SECONDS_PER_BYTE), MOST_SECONDS)


def limit_memory() -> None:
    """Limit the memory of this process to `MOST_MEMORY`; only Linux enforces it.

    Exceeding it raises a MemoryError, or kills the process.
    """
    if sys.platform == "linux":
        import resource

        _, hard = resource.getrlimit(resource.RLIMIT_DATA)
        most = MOST_MEMORY if hard == resource.RLIM_INFINITY else min(MOST_MEMORY, hard)
        with contextlib.suppress(OSError, ValueError):  # not permitted: then there is no limit
            resource.setrlimit(resource.RLIMIT_DATA, (most, hard))
