"""Explain why a command has nothing to show."""

from collections.abc import Sized
from typing import TYPE_CHECKING

from melodex.cli.terminal import notice
from melodex.model.catalogue import SongFilter

if TYPE_CHECKING:
    from melodex.index.store import Catalogue


def explain_if_empty(
    found: Sized, catalogue: "Catalogue", which: SongFilter, otherwise: str = ""
) -> None:
    """Print on standard error why nothing was found, if nothing was.

    Parameters
    ----------
    found : sized
        What was found.
    which : SongFilter
        The songs that were searched.
    otherwise : str
        The reason if the filter does choose songs.
    """
    from melodex.finder.collection.chosen_songs import why_none

    if not found and (reason := why_none(catalogue, which) or otherwise):
        notice(reason)
