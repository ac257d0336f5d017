"""Models of chance, fitted once for each state of the catalogue and kept with its arrays."""

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from melodex.index.blocks import ARRAYS_FILE, Blocks
from melodex.index.derived_files import sealed, unsealed
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
    """Read the model that was kept for a state of the catalogue; where there is none, fit it.

    Where it cannot be kept it is fitted every time.

    Parameters
    ----------
    fit : function
        Makes the model, a dataclass, of the songs and a seed; None where they are too few.
    read : function
        Makes it again of its fields as JSON has them.
    """
    files = blocks.files
    if files and (text := files.read(file_name, _text_of)):
        return read(json.loads(text))
    model = fit(blocks.songs, SEED)
    # Where the arrays are gone, the catalogue has another state meanwhile.
    if files and model and files.hold(ARRAYS_FILE):
        files.write(file_name, [sealed(json.dumps(asdict(model)))])
    return model


def _text_of(path: Path) -> str:
    return unsealed(path.read_bytes())
