"""Find the licks that recur across a catalogue."""

from collections.abc import Callable, Container
from dataclasses import replace
from functools import cache
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from melodex.features.chords import begin_over, chord_named, chords_of
from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.finder.lick_names import kept_as, kept_places, name_by_place
from melodex.finder.lick_records import lick_record
from melodex.finder.row_limit import row_limit
from melodex.finder.tab_of_lick import tab_of_lick
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.kept_licks import remember_listed
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.model.results.recurring import RecurringLick
from melodex.model.song import Song
from melodex.phrases.families import families_of


def recurring_licks(
    catalogue: Catalogue,
    *,
    limit: int | None = 20,
    chord: str | None = None,
    which: SongFilter = EVERY_SONG,
    progress: Callable[[int, int], None] | None = None,
) -> list[RecurringLick]:
    """List the licks that several tunes share, the most surprising and widespread first.

    The list is remembered, so that a lick of it can be kept by its number or name. A shorter list
    is the beginning of a longer one.

    Parameters
    ----------
    limit : int or None
        How many licks at most; None for all.
    chord : str or None
        Only licks that two tunes or more have mostly over this chord: "C", "D7".
    which : SongFilter
        The songs to search.
    progress : callable or None
        Called after each lick with the number found so far and the limit.

    Raises
    ------
    QueryError
        If ``chord`` is not a chord symbol, or the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue cannot be written.
    """
    limit = row_limit(limit)
    blocks = load_blocks(catalogue)
    most = len(blocks.songs.pitches) if limit is None else limit
    chosen = frozenset(chosen_songs(catalogue, which))
    selected = np.array([n for n, song in enumerate(blocks.song_ids) if song in chosen], np.int64)
    found = licks_among(catalogue, blocks, selected, limit=most, chord=chord, progress=progress)
    remember_listed(catalogue, [(record.lick, lick) for record, lick in found])
    return [replace(record, tab=tab_of_lick(lick)) for record, lick in found]


def licks_among(
    catalogue: Catalogue,
    blocks: Blocks,
    selected: NDArray[np.int64],
    *,
    limit: int,
    chord: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> list[tuple[RecurringLick, Lick]]:
    """List the licks that tunes among some songs share, as named records without tab and as notes.

    Parameters
    ----------
    selected : shape (n_selected,)
        The songs' numbers, ascending.
    progress : callable or None
        As for ``recurring_licks``.

    Raises
    ------
    QueryError
        If ``chord`` is not a chord symbol.
    """
    song_of = cache(catalogue.song)
    wanted = np.ones(len(blocks.songs.pitches), np.bool_)
    if chord is not None:
        wanted = _notes_over(chord, blocks, selected, song_of)
    kept = kept_places(catalogue, blocks, selected)
    names = {each.name for each in kept}
    found: dict[str, tuple[RecurringLick, Lick]] = {}
    for family in islice(families_of(blocks.songs, selected, wanted), limit):
        record, lick = lick_record(family, blocks, song_of)
        name = kept_as(record, kept) or name_by_place(record, names)
        names.add(name)
        lick_id = _unused(record.lick, found)
        found[lick_id] = replace(record, lick=lick_id, name=name), replace(lick, came_from=name)
        if progress is not None:
            progress(len(found), limit)
    return list(found.values())


def _notes_over(
    chord: str, blocks: Blocks, selected: NDArray[np.int64], song_of: Callable[[str], Song]
) -> NDArray[np.bool_]:
    """Return whether each note as played begins over a chord."""
    wanted = chord_named(chord)
    over = np.zeros(len(blocks.songs.pitches), np.bool_)
    for number in map(int, selected):
        song = song_of(blocks.song_ids[number])
        symbols, _ = chords_of(song)
        is_over = begin_over(wanted, symbols, song.melody.onsets)
        notes = blocks.songs.notes_of(number)
        over[notes] = is_over[blocks.songs.written[notes]]
    return over


def _unused(lick: str, found: Container[str]) -> str:
    """Return an unused id for another lick of the same measures: old-mill-m5-again."""
    return _unused(f"{lick}-again", found) if lick in found else lick
