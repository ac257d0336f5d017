"""Read a lick in whichever form the user gives it: typed, named, cut from a song, or in a file."""

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path

from melodex.errors import QueryError
from melodex.index.kept_licks import kept_lick, listed_lick
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.tuning import OPEN_G
from melodex.parsing.lick_tab import lick_from_tab
from melodex.parsing.lick_text import lick_from_degrees, lick_from_names
from melodex.search.query import lick_from_abc, lick_from_file, lick_from_song


class LickForm(StrEnum):
    """The forms that a lick can be given in."""

    ABC = "abc"
    NOTES = "notes"
    DEGREES = "degrees"
    TAB = "tab"
    KEPT = "kept"  # the name of a kept lick
    LISTED = "listed"  # a number or name in the last list of recurring licks
    SONG = "song"  # a song's id or an unambiguous part of its title, with measures
    FILE = "file"  # the path of a music file that holds the lick alone


def given_lick(
    catalogue: Catalogue,
    form: LickForm,
    text: str,
    *,
    mode: str = "major",
    tuning: str = OPEN_G.name,
    measures: tuple[int, int] | None = None,
) -> Lick:
    """Return the lick that a text means.

    Parameters
    ----------
    text : str
        Notes, a name or a path, as the form requires.
    mode : str
        The mode that degrees are counted in.
    tuning : str
        The tuning that tab is for.
    measures : (int, int) or None
        The first and last measure to cut from a song, as written, both included; a pickup is 0.

    Raises
    ------
    QueryError
        If the text cannot be understood, the measures of a song are missing, or the song has fewer
        than two notes there.
    LickNotFoundError
        If no kept or listed lick has that name.
    SongNotFoundError
        If no song, or more than one, has that name.
    ScoreParseError
        If the file cannot be read.
    """
    readers: dict[LickForm, Callable[[], Lick]] = {
        LickForm.ABC: lambda: lick_from_abc(text),
        LickForm.NOTES: lambda: lick_from_names(text),
        LickForm.DEGREES: lambda: lick_from_degrees(text, mode),
        LickForm.TAB: lambda: lick_from_tab(text, tuning),
        LickForm.KEPT: lambda: kept_lick(catalogue, text),
        LickForm.LISTED: lambda: listed_lick(catalogue, text),
        LickForm.SONG: lambda: _cut(catalogue, text, measures),
        LickForm.FILE: lambda: lick_from_file(Path(text)),
    }
    return readers[form]()


def _cut(catalogue: Catalogue, song: str, measures: tuple[int, int] | None) -> Lick:
    if measures is None:
        raise QueryError(
            "The measures of the lick are missing.", "name its first and last measure."
        )
    return lick_from_song(catalogue, song, measures=measures)
