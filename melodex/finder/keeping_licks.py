"""Keep licks under names of the user's own."""

from melodex.index import kept_licks
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.results.recurring import KeptLick
from melodex.notation.note_names import note_name


def keep_lick(catalogue: Catalogue, name: str, lick: Lick | str | int) -> Lick:
    """Keep a lick in the catalogue under a name, and return it.

    Parameters
    ----------
    name : str
        For ``kept_lick`` and ``forget_lick``; capitals do not matter.
    lick : Lick, str or int
        The lick, or the id, name or number of one in the last list of ``recurring_licks``.

    Raises
    ------
    QueryError
        If the name is empty or taken.
    LickNotFoundError
        If the last list has no such lick.

    Examples
    --------
    ::

        melodex.recurring_licks(catalogue, limit=3)
        melodex.keep_lick(catalogue, "first fill", 1)
    """
    if not isinstance(lick, Lick):
        lick = listed_lick(catalogue, lick)
    kept_licks.keep_lick(catalogue, name, lick)
    return lick


def kept_lick_list(catalogue: Catalogue) -> list[KeptLick]:
    """List the licks that are kept, ordered by name."""
    return [
        KeptLick(name, tuple(map(note_name, lick.melody.pitches.tolist())), lick.came_from)
        for name, lick in kept_licks.kept_licks(catalogue)
    ]


def kept_lick(catalogue: Catalogue, name: str) -> Lick:
    """Return the lick that is kept under a name.

    Parameters
    ----------
    name : str
        From ``kept_licks``; capitals do not matter.

    Raises
    ------
    LickNotFoundError
        If there is none of that name; it lists those that are kept.

    Examples
    --------
    ::

        melodex.keep_lick(catalogue, "climb", melodex.lick_from_names("D4 E4 G4 A4 B4"))
        print(melodex.find_lick(catalogue, melodex.kept_lick(catalogue, "climb")))
    """
    return kept_licks.kept_lick(catalogue, name)


def listed_lick(catalogue: Catalogue, lick: str | int) -> Lick:
    """Return a lick of the last list of ``recurring_licks``.

    Parameters
    ----------
    lick : str or int
        Its id or name, or its number in the list, from 1.

    Raises
    ------
    LickNotFoundError
        If the last list has no such lick.

    Examples
    --------
    ::

        melodex.recurring_licks(catalogue, limit=3)
        print(melodex.find_lick(catalogue, melodex.listed_lick(catalogue, 1)))
    """
    return kept_licks.listed_lick(catalogue, str(lick))


def rename_lick(catalogue: Catalogue, name: str, new_name: str) -> None:
    """Rename a kept lick, in plans, handouts, audits and lists as well.

    A student's file that names the old one has to be changed by hand.

    Parameters
    ----------
    name : str
        From ``kept_licks``; capitals do not matter.
    new_name : str
        What to call it from now on.

    Raises
    ------
    LickNotFoundError
        If there is none of that name; it lists those that are kept.
    QueryError
        If the new name is empty or has been given to another lick.

    Examples
    --------
    ::

        melodex.keep_lick(catalogue, "climb", melodex.lick_from_names("D4 E4 G4 A4 B4"))
        melodex.rename_lick(catalogue, "climb", "way up")
    """
    kept_licks.rename_lick(catalogue, name, new_name)


def forget_lick(catalogue: Catalogue, name: str) -> None:
    """Delete a kept lick from the catalogue; the songs that use it stay as they are.

    Parameters
    ----------
    name : str
        From ``kept_licks``; capitals do not matter.

    Raises
    ------
    LickNotFoundError
        If there is none of that name; it lists those that are kept.

    Examples
    --------
    ::

        melodex.keep_lick(catalogue, "climb", melodex.lick_from_names("D4 E4 G4 A4 B4"))
        melodex.forget_lick(catalogue, "climb")
    """
    kept_licks.forget_lick(catalogue, name)
