"""Chance models, fitted once for each state of the catalogue and stored with its arrays."""

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
    """Return the stored model for a state of the catalogue, or fit and store it.

    If it cannot be stored, it is fitted every time.

    Parameters
    ----------
    fit : function
        Fits the model, a dataclass, to the songs with a seed; None if they are too few.
    read : function
        Restores it from its fields in JSON.
    """
    files = blocks.files
    if files and (text := files.read(file_name, _text_of)):
        return read(json.loads(text))
    model = fit(blocks.songs, SEED)
    # If the arrays are gone, the catalogue's state has changed in between.
    if files and model and files.hold(ARRAYS_FILE):
        files.write(file_name, [sealed(json.dumps(asdict(model)))])
    return model


def _text_of(path: Path) -> str:
    return unsealed(path.read_bytes())
