"""A lick in the form that a user gives it: typed, kept, listed, or cut from a song."""

from collections.abc import Callable
from enum import StrEnum

from melodex.index.kept_licks import kept_lick, listed_lick
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.tuning import OPEN_G
from melodex.parsing.lick_text import lick_from_degrees, lick_from_names, lick_from_tab
from melodex.search import query


class LickForm(StrEnum):
    """The ways to write a lick in one line, or to name it."""

    ABC = "abc"
    NOTES = "notes"
    DEGREES = "degrees"
    TAB = "tab"
    KEPT = "kept"  # the name of a lick that was kept
    LISTED = "listed"  # a number or name out of the last list of recurring licks


def given_lick(
    catalogue: Catalogue,
    form: LickForm,
    text: str,
    *,
    mode: str = "major",
    tuning: str = OPEN_G.name,
) -> Lick:
    """Read a lick that is written or named in one line.

    Parameters
    ----------
    mode : str
        The mode that degrees are counted in.
    tuning : str
        The tuning that tab is for.

    Raises
    ------
    QueryError
        If the text cannot be understood.
    LickNotFoundError
        If no kept or listed lick has that name.
    """
    readers: dict[LickForm, Callable[[], Lick]] = {
        LickForm.ABC: lambda: query.lick_from_abc(text),
        LickForm.NOTES: lambda: lick_from_names(text),
        LickForm.DEGREES: lambda: lick_from_degrees(text, mode),
        LickForm.TAB: lambda: lick_from_tab(text, tuning),
        LickForm.KEPT: lambda: kept_lick(catalogue, text),
        LickForm.LISTED: lambda: listed_lick(catalogue, text),
    }
    return readers[form]()


def lick_of_measures(catalogue: Catalogue, song: str, measures: tuple[int, int]) -> Lick:
    """Cut a lick from a song, from one measure to another as written, both included.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    QueryError
        If the song has no two notes there.
    """
    return query.lick_from_song(catalogue, song, measures=measures)
