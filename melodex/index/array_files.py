"""Memory-mapped files of arrays: a sealed header line that lists them, then the arrays."""

import json
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.index.derived_files import sealed, unsealed

_ALIGNMENT = 64  # bytes; a cache line of the processor


def content_of(arrays: Mapping[str, NDArray[Any]], **listed: object) -> Iterator[bytes]:
    """Yield the content of a file of arrays: its header line, then each array.

    Parameters
    ----------
    **listed
        Additional JSON values for the header line.
    """
    layout: list[tuple[str, str, tuple[int, ...], int]] = []
    parts: list[bytes] = []
    size = 0
    for name, array in arrays.items():
        layout.append((name, array.dtype.str, array.shape, size))
        part = array.tobytes()
        parts.append(part + bytes(-len(part) % _ALIGNMENT))
        size += len(parts[-1])
    checksum = 0
    for part in parts:
        checksum = zlib.crc32(part, checksum)
    yield _padded(json.dumps({**listed, "layout": layout, "size": size, "checksum": checksum}))
    yield from parts


def _padded(text: str) -> bytes:
    """Seal a line, padded so that the content after it is aligned."""
    return sealed(text + " " * (-len(sealed(text)) % _ALIGNMENT))


def mapped(path: Path) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """Map a file of arrays; return its header and the arrays, read-only.

    Raises
    ------
    OSError or ValueError
        If it is missing, damaged or truncated.
    """
    with path.open("rb") as file:
        line = file.readline()
    # A plain array, because slicing a memmap is slower.
    return arrays_in(line, np.asarray(np.memmap(path, np.uint8, mode="r"))[len(line) :])


def arrays_in(
    line: bytes, content: NDArray[np.uint8]
) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """Return header and arrays from a header line and the content after it, as ``mapped`` does."""
    listed = json.loads(unsealed(line))
    if len(content) != listed["size"]:
        raise ValueError("the arrays are truncated")
    # Kernels trust their input: a flipped bit could make them access any memory.
    if zlib.crc32(content.data) != listed["checksum"]:
        raise ValueError("the arrays are damaged")
    arrays = {
        name: np.ndarray(shape, dtype, content.data, start)
        for name, dtype, shape, start in listed["layout"]
    }
    return listed, arrays
