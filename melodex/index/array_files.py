"""Files of arrays, memory-mapped: a sealed line that lists them, then the arrays."""

import json
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.index.derived_files import sealed, unsealed

_ALIGNMENT = 64  # bytes; a line of the processor's cache


def content_of(arrays: Mapping[str, NDArray[Any]], **listed: object) -> Iterator[bytes]:
    """Yield the content of a file of arrays: its first line, then each array.

    Parameters
    ----------
    **listed
        What else the first line says, as JSON can.
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
    """Seal a line so that what follows it in the file is aligned."""
    return sealed(text + " " * (-len(sealed(text)) % _ALIGNMENT))


def mapped(path: Path) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """Map a file of arrays; return its first line and the arrays, read-only.

    Raises
    ------
    OSError or ValueError
        If it is missing, damaged or not whole.
    """
    with path.open("rb") as file:
        line = file.readline()
    # As a plain array: slices of a memmap take longer to make.
    return arrays_in(line, np.asarray(np.memmap(path, np.uint8, mode="r"))[len(line) :])


def arrays_in(
    line: bytes, content: NDArray[np.uint8]
) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """Find the arrays in what follows a file's first line, as ``mapped``."""
    listed = json.loads(unsealed(line))
    if len(content) != listed["size"]:
        raise ValueError("the arrays are not whole")
    # Kernels trust what they are given: a flipped bit would send them anywhere in memory.
    if zlib.crc32(content.data) != listed["checksum"]:
        raise ValueError("the arrays are damaged")
    arrays = {
        name: np.ndarray(shape, dtype, content.data, start)
        for name, dtype, shape, start in listed["layout"]
    }
    return listed, arrays
