"""Licks that recur, licks that are kept, and places for a lick, as DataFrames."""

import pandas as pd

from melodex.finder import place_lick as placing
from melodex.finder import recurring_licks as recurring
from melodex.finder.keeping_licks import kept_lick_list
from melodex.finder.row_limit import row_limit
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.model.results.placement import Placement
from melodex.model.results.recurring import KeptLick, RecurringLick


def recurring_licks(
    catalogue: Catalogue,
    *,
    limit: int | None = 20,
    chord: str | None = None,
    which: SongFilter = EVERY_SONG,
) -> pd.DataFrame:
    """List the licks that several tunes share, the most surprising and widespread first.

    A shorter list is the beginning of a longer one. The catalogue remembers the list, so that
    ``keep_lick`` and ``listed_lick`` take a lick by its id, its name or its number, from 1.

    Parameters
    ----------
    limit : int or None
        How many licks at most, 1 or more; None for all.
    chord : str or None
        Only licks that two tunes or more have mostly over this chord: "C", "Am", "D7".
    which : SongFilter
        The songs to search.

    Returns
    -------
    DataFrame
        ``lick``: its id, made of the place that represents it; ``name``: the one that it is kept
        under, else its song and measures; ``degrees``: a tuple, in the key of that song; ``notes``:
        a tuple, "C4" is middle C; ``rhythm``: a tuple, the time from each note to the next, as
        ``lick_from_names`` reads it: "q", "e.", "1/3" (of a quarter note); ``measures``: how many
        it touches; ``first_measure``, ``first_beat``, ``last_measure``, ``last_beat``: where its
        first and last notes begin in that song; beats are counted in the metre's lower number, 1
        being the downbeat, None in free metre;
        ``chords``: a tuple, in order; ``chords_estimated``: whether they come from the melody;
        ``key``: of that song, "G major"; ``surprise``: bits, how unexpected the lick is in all its
        tunes together; ``tunes``: how many have it, versions of one counted once; ``songs``: how
        many have it; ``occurrences``: its places, a tuple of dictionaries with ``song``,
        ``title``, ``first_measure``, ``last_measure``, ``first_beat``, ``last_beat``,
        ``measures``, ``transposition``, ``form``, ``chords`` and ``chords_estimated``; ``tab``: its
        notes as five lines of text and a count, the song's own tab or fingered in open G, None if
        it does not lie on the neck.

    Raises
    ------
    QueryError
        If ``chord`` is not a chord symbol, or the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        licks = melodex.recurring_licks(catalogue, limit=5, chord="C")
        places = licks.explode("occurrences")["occurrences"].apply(pandas.Series)
        print(places[["song", "first_measure", "last_measure"]])
    """
    found = recurring.recurring_licks(catalogue, limit=limit, chord=chord, which=which)
    return table_of(RecurringLick, found)


def kept_licks(catalogue: Catalogue) -> pd.DataFrame:
    """List the kept licks, sorted by name.

    Returns
    -------
    DataFrame
        ``name``: for ``kept_lick`` and ``forget_lick``; ``notes``: a tuple, "C4" is middle C;
        ``came_from``: the text, file or song that the lick was taken from.

    Examples
    --------
    ::

        melodex.keep_lick(catalogue, "little climb", melodex.lick_from_names("D4 E4 G4 B4"))
        print(melodex.kept_licks(catalogue))
    """
    return table_of(KeptLick, kept_lick_list(catalogue))


def place_lick(
    catalogue: Catalogue,
    song: str,
    lick: Lick,
    *,
    octaves: int | None = None,
    limit: int | None = 5,
    count: bool = False,
) -> pd.DataFrame:
    """List the places where a lick fits into a song, best first.

    ``song_with_lick`` returns the whole song with the lick in one of these places.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    lick : Lick
        From ``lick_from_names``, ``kept_lick`` or the like.
    octaves : int or None
        As for ``tab_of_song``.
    limit : int or None
        How many places at most, 1 or more; None for all that were fingered.
    count : bool
        Whether a line below each tab counts the beats, "1 & 2 &".

    Returns
    -------
    DataFrame
        ``first_measure``, ``last_measure``: as written, a pickup is 0; ``fit``: 0 to 1; ``kind``:
        "fill" or "in place of melody"; ``chords``: a tuple of those that sound there;
        ``chords_estimated``: whether they come from the melody; ``transposition``: half-steps
        from the lick as given; ``form``: how the song's metre counts it, "as written", "note values
        halved" or the like; ``tab``: these measures with the lick, as text; ``replaces``: these
        measures as they are; ``because``: a tuple of sentences.

        Its ``attrs`` hold ``remarks``: places that have the lick already, a sentence each.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    MelodyError
        If the song or the lick does not lie on the neck, or no part of the song suits the lick.
    QueryError
        If the limit is less than 1.

    Examples
    --------
    ::

        lick = melodex.lick_from_names("G4 E4 D4 B3 A3 G3")
        places = melodex.place_lick(catalogue, "Frost on the Allotment", lick)
        print(places["tab"].iloc[0])
    """
    most = row_limit(limit)
    found = placing.place_lick(catalogue, song, lick, octaves=octaves, count=count)
    frame = table_of(Placement, [place.placement for place in found.places[:most]])
    frame.attrs = {"remarks": found.remarks}
    return frame
