"""Arrays derived from a state of the catalogue, made once and kept beside those of searches."""

import io
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.index.blocks import ARRAYS_FILE, Blocks

Arrays = Mapping[str, NDArray[Any]]


def kept_arrays(blocks: Blocks, file_name: str, make: Callable[[], Arrays]) -> Arrays:
    """Read the arrays that were kept for a state of the catalogue; where there are none, make them.

    Where they cannot be kept they are made every time.
    """
    if found := arrays_if_kept(blocks, file_name):
        return found
    made, files = make(), blocks.files
    # Where the catalogue's own arrays are gone, it has another state meanwhile.
    if files and files.hold(ARRAYS_FILE):
        content = io.BytesIO()
        np.savez(content, allow_pickle=False, **made)
        files.write(file_name, [content.getvalue()])
    return made


def arrays_if_kept(blocks: Blocks, file_name: str) -> Arrays | None:
    """Read the arrays that were kept under a name; None where there are none that are sound."""
    return blocks.files.read(file_name, _read) if blocks.files else None


def _read(path: Path) -> Arrays:
    try:
        with np.load(path, allow_pickle=False) as file:
            return {name: file[name] for name in file.files}
    except (zipfile.BadZipFile, EOFError, KeyError) as error:
        raise ValueError("the file is damaged") from error
