"""Explain why the first search after songs were added takes long."""

from typing import TYPE_CHECKING

from melodex.cli.terminal import notice

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

MANY_SONGS = 500  # with fewer it takes a few seconds


def notice_if_first(catalogue: "Catalogue", search: str) -> None:
    """Print a notice if a search has to work out first what chance brings.

    Parameters
    ----------
    search : str
        As for `is_first`.
    """
    from melodex.finder.first_search import is_first

    songs = len(catalogue.song_ids())
    if songs >= MANY_SONGS and is_first(catalogue, search):
        notice(
            f"Songs were added: working out once what scores chance brings among {songs:,} songs. "
            "This may take half a minute; later searches are quick."
        )
