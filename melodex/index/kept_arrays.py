"""Arrays derived from a state of the catalogue, computed once and stored."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from numpy.typing import NDArray

from melodex.index.array_files import content_of, mapped
from melodex.index.blocks import ARRAYS_FILE, Blocks

Arrays = Mapping[str, NDArray[Any]]


def kept_arrays(blocks: Blocks, file_name: str, make: Callable[[], Arrays]) -> Arrays:
    """Map the arrays stored for a state of the catalogue, or compute and store them.

    If they cannot be stored, they are computed every time.
    """
    if found := arrays_if_kept(blocks, file_name):
        return found
    made, files = make(), blocks.files
    # If the catalogue's own arrays are gone, its state has changed in between.
    if files and files.hold(ARRAYS_FILE):
        files.write(file_name, content_of(made))
    return made


def arrays_if_kept(blocks: Blocks, file_name: str) -> Arrays | None:
    """Map the arrays stored under a name; None if there are none, or they are damaged."""
    return blocks.files.read(file_name, _arrays_in) if blocks.files else None


def _arrays_in(path: Path) -> Arrays:
    _, arrays = mapped(path)
    return arrays
