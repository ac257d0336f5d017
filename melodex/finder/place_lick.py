"""Find where a lick fits into another song, and return the song with the lick in it."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from melodex.banjo.cautions import cautions_of, with_cautions
from melodex.banjo.placing.lick_placement import PlacedLick, places_for, with_lick
from melodex.banjo.placing.placement_fit import fit_of
from melodex.errors import QueryError
from melodex.features.chords import chords_during, chords_of
from melodex.finder.lick_places import places_of
from melodex.finder.tab_of_song import tab_of_song
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.results.placement import Placement
from melodex.model.song import ChordSymbol
from melodex.model.tablature import Tab
from melodex.notation.measure_names import measures_in_words
from melodex.report.placement_words import reasons_in_words
from melodex.tab_files.tab_text import tab_heading, tabs_to_compare

FIT_DIGITS = 3  # further digits are noise


class PlaceInSong(NamedTuple):
    """A place for a lick, and the whole song with the lick there."""

    placement: Placement
    tab: Tab
    begin_beats: float  # quarter notes from the start of the music to the lick
    end_beats: float  # the same to where the song goes on


class PlacesInSong(NamedTuple):
    """The places for a lick, best first, with remarks."""

    places: list[PlaceInSong]
    remarks: tuple[str, ...]
    heading: tuple[str, ...]  # lines above the tabs of all places: title, tuning, key, metre

    def place(self, number: int) -> PlaceInSong:
        """Return a place by its number, the best being 1.

        Raises
        ------
        QueryError
            If there are fewer.
        """
        if not 1 <= number <= len(self.places):
            raise QueryError(
                f"There is no place number {number} for the lick.",
                f"choose a number from 1 to {len(self.places)}, or another song or lick.",
            )
        return self.places[number - 1]


def place_lick(
    catalogue: Catalogue,
    song: str,
    lick: Lick,
    *,
    octaves: int | None = None,
    count: bool = False,
) -> PlacesInSong:
    """Find where a lick fits into a song, by chords, melody and hands.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    octaves : int or None
        As for ``tab_of_song``.
    count : bool
        Whether a line below each tab counts the beats, "1 & 2 &".

    Raises
    ------
    SongNotFoundError
        If no song, or several, match the name.
    MelodyError
        If the song or the lick does not lie on the neck, or no part of the song suits the lick; it
        names the measure and what to do.
    """
    tab = tab_of_song(catalogue, song, octaves=octaves)
    chords, estimated = chords_of(catalogue.song(catalogue.resolve(song)))
    found, already = places_for(tab, chords, lick)
    places = [_in_song(tab, placed, chords, estimated=estimated, count=count) for placed in found]
    remarks = [
        f"{tab.song.title} has it in {measures_in_words(_numbers(placed))} already."
        for placed in already
    ]
    remarks += _similar_places(catalogue, song, lick, already)
    return PlacesInSong(places, tuple(remarks), tuple(tab_heading(tab)))


def song_with_lick(
    catalogue: Catalogue, song: str, lick: Lick, *, number: int = 1, octaves: int | None = None
) -> Tab:
    """Return a whole song as tab with a lick in one of the places that ``place_lick`` lists.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    lick : Lick
        From ``lick_from_names``, ``kept_lick`` or the like.
    number : int
        Of the place, the best being 1.
    octaves : int or None
        As for ``tab_of_song``.

    Returns
    -------
    Tab
        For ``tab_text`` and ``write_tab``; its ``cautions`` say where it strains the hands.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    MelodyError
        If the song or the lick does not lie on the neck, or no part of the song suits the lick.
    QueryError
        If there is no place of that number.

    Examples
    --------
    ::

        lick = melodex.lick_from_names("G4 E4 D4 B3 A3 G3")
        tab = melodex.song_with_lick(catalogue, "Frost on the Allotment", lick)
        melodex.write_tab(tab, folder / "frost.musicxml")
    """
    return place_lick(catalogue, song, lick, octaves=octaves).place(number).tab


def _in_song(
    tab: Tab, placed: PlacedLick, chords: tuple[ChordSymbol, ...], *, estimated: bool, count: bool
) -> PlaceInSong:
    window, fit = placed.window, placed.fit
    names = tuple(name for name, _ in chords_during(chords, window.begin, window.end))
    changed = with_cautions(with_lick(tab, placed))
    replaces, text = tabs_to_compare([tab, changed], placed.measures, count=count)
    placement = Placement(
        first_measure=placed.measures[0],
        last_measure=placed.measures[1],
        fit=round(fit_of(fit), FIT_DIGITS),
        kind=fit.kind,
        chords=names,
        chords_estimated=estimated,
        transposition=fit.transposition,
        form=placed.form,
        tab="\n".join(text),
        replaces="\n".join(replaces),
        because=(
            *reasons_in_words(fit, names, chords_estimated=estimated, form=placed.form),
            *cautions_of(changed, placed.measures),
        ),
    )
    return PlaceInSong(placement, changed, window.begin, window.end)


def _similar_places(
    catalogue: Catalogue, song: str, lick: Lick, already: Sequence[PlacedLick]
) -> list[str]:
    """Return remarks on where else a song has a lick, though not note for note."""
    song_id, blocks = catalogue.resolve(song), load_blocks(catalogue)
    as_it_is = {measure for placed in already for measure in _numbers(placed)}
    number = np.array([blocks.song_ids.index(song_id)], np.int64)
    title = catalogue.song(song_id).title
    return [
        f"{title} has much the same in {measures_in_words(place.measures)}."
        for _, places in places_of(lick.melody, blocks, number)
        for place in places
        if not as_it_is.issuperset(place.measures)
    ]


def _numbers(placed: PlacedLick) -> range:
    first, last = placed.measures
    return range(first, last + 1)
