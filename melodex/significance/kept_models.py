"""Models of chance, fitted once a state of the catalogue and kept beside its arrays."""

import json
import tempfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from melodex.errors import CatalogueError
from melodex.index.blocks import Blocks
from melodex.index.song_arrays import SongArrays

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

SEED = 0
Model = TypeVar("Model", bound="DataclassInstance")


def kept_model(
    blocks: Blocks,
    file_name: str,
    fit: Callable[[SongArrays, int], Model | None],
    read: Callable[[dict[str, Any]], Model],
) -> Model | None:
    """Read the model that is kept beside a catalogue's arrays; where there is none yet, fit it.

    Parameters
    ----------
    fit : function
        Makes the model, a dataclass, of the songs and a seed; None where they are too few.
    read : function
        Makes it again of its fields as JSON has them.

    Raises
    ------
    CatalogueError
        If it cannot be written beside the arrays.
    """
    file = blocks.folder / file_name if blocks.folder else None
    if file and file.exists():
        return read(json.loads(file.read_text(encoding="utf-8")))
    model = fit(blocks.songs, SEED)
    if file and model:
        _save(json.dumps(asdict(model)), file)
    return model


def _save(text: str, file: Path) -> None:
    """Write a file whole or not at all."""
    try:
        with tempfile.TemporaryDirectory(prefix="new-", dir=file.parent) as folder:
            passing = Path(folder) / file.name
            passing.write_text(text, encoding="utf-8")
            passing.replace(file)
    except OSError as error:
        raise CatalogueError(
            f"Cannot write the chance levels {file}: {error.strerror or error}.",
            "free some space, or make that folder writable.",
        ) from error
