"""Keep licks under names of the user's own."""

from melodex.index import kept_licks
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.recurring import KeptLick
from melodex.report.aligned_text import note_name


def keep_lick(catalogue: Catalogue, name: str, lick: Lick | str | int) -> Lick:
    """Keep a lick under a name and return it.

    Parameters
    ----------
    lick : Lick, str or int
        The lick, or the name or number of one in the last list of recurring licks.

    Raises
    ------
    QueryError
        If the name is empty or given already.
    LickNotFoundError
        If the last list has no such lick.
    """
    if not isinstance(lick, Lick):
        lick = kept_licks.listed_lick(catalogue, str(lick))
    kept_licks.keep_lick(catalogue, name, lick)
    return lick


def kept_lick_list(catalogue: Catalogue) -> list[KeptLick]:
    """List the licks that are kept, ordered by name."""
    return [
        KeptLick(name, tuple(map(note_name, lick.melody.pitches.tolist())), lick.came_from)
        for name, lick in kept_licks.kept_licks(catalogue)
    ]


def forget_lick(catalogue: Catalogue, name: str) -> None:
    """Keep a lick no longer.

    Raises
    ------
    LickNotFoundError
        If there is none of that name; it says what is kept.
    """
    kept_licks.forget_lick(catalogue, name)
