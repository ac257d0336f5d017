"""The songs that a filter chooses; the only place where filters are applied to a catalogue."""

import difflib
from collections.abc import Iterator
from typing import NamedTuple

from melodex.errors import QueryError, UnknownValueError, shown
from melodex.index.estimates import lay_out_estimates
from melodex.index.song_filters import has_any_song, known_values
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter

MOST_LISTED = 8  # values in a message
EMPTY_CATALOGUE = "The catalogue holds no songs yet"
_ADD_SOME = "add some first: melodex add FOLDER."
_NO_SONG_WITH = {
    "collection": "No song is in the collection {}",
    "tag": "No song has the tag {}",
    "metre": "No song is in the metre {}",
    "level": "No song has level {}",
    "estimated level": "No song has, or would be given, level {}",
    "technique": "No song uses the technique {}",
    "set": "No song is in the set {}",
}
_DESCRIBE = "give songs a {} with melodex describe, or leave that filter out."
_NEXT_WITHOUT_ANY = {
    "estimated level": "add songs that have notes, or leave that filter out.",
    "technique": "add songs with tab for five strings, or leave that filter out.",
    "set": "save one (melodex serve: tick songs), or leave that filter out.",
    "level": "use suggested levels as well (--estimated), give songs a level with melodex "
    "describe, or leave that filter out.",
}


class FilterValue(NamedTuple):
    """One value of a filter."""

    fact: str  # as ``known_values`` takes it
    shown: str  # the value in a sentence
    value: str | float  # of a range of levels, its middle or its only end
    alone: SongFilter  # the filter that has this value only


def chosen_songs(catalogue: Catalogue, which: SongFilter = EVERY_SONG) -> list[str]:
    """Return the ids of the songs that match a filter, sorted ascending.

    Raises
    ------
    UnknownValueError
        If no song has one of the filter's values; it lists the nearest values.
    """
    refuse_unknown_values(catalogue, which)
    return catalogue.song_ids(which)


def refuse_unknown_values(catalogue: Catalogue, which: object) -> None:
    """Raise an error if no song has one of a filter's values.

    Raises
    ------
    UnknownValueError
        It names the value and lists the nearest values.
    QueryError
        If it is not a filter.
    """
    if not isinstance(which, SongFilter):  # Python programs may pass anything
        raise QueryError(
            f"{shown(which)} is not a filter.", "build one: song_filter(tags='rolls')."
        )
    lay_out_estimates(catalogue, which)
    with catalogue.reading() as connection:
        for value in _values_in(which):
            if has_any_song(connection, value.alone):
                continue
            if not has_any_song(connection, EVERY_SONG):
                raise UnknownValueError(f"{EMPTY_CATALOGUE}.", _ADD_SOME)
            raise _unknown(value, known_values(connection, value.fact))


def refuse_unknown_words(catalogue: Catalogue, words: str) -> None:
    """Raise an error if a word is in no title; case is ignored.

    Raises
    ------
    UnknownValueError
        It names the word and lists the nearest words of titles.
    """
    if not words.strip():
        return
    titles = [title.casefold() for _, title in catalogue.titles()]
    if not titles:
        raise UnknownValueError(f"{EMPTY_CATALOGUE}.", _ADD_SOME)
    for word in words.casefold().split():
        if any(word in title for title in titles):
            continue
        known = sorted({known for title in titles for known in title.split()})
        nearest = difflib.get_close_matches(word, known, n=MOST_LISTED)
        listed = f"; the nearest: {', '.join(nearest)}" if nearest else ""
        raise UnknownValueError(
            f"No title has the word {shown(word)}{listed}.", "use another word, or list every song."
        )


def why_none(catalogue: Catalogue, which: SongFilter = EVERY_SONG) -> str | None:
    """Return a sentence on why a filter chooses no song; None if it chooses one or more."""
    lay_out_estimates(catalogue, which)
    with catalogue.reading() as connection:
        if has_any_song(connection, which):
            return None
        if not has_any_song(connection, EVERY_SONG):
            return f"{EMPTY_CATALOGUE}; add some: melodex add FOLDER"
    return f"No song matches all of these filters together: {filter_in_words(which)}."


def filter_in_words(which: SongFilter) -> str:
    """Return the values of a filter, "set 'Autumn', level 2 to 3"; "" if it has none."""
    return ", ".join(f"{value.fact} {value.shown}" for value in _values_in(which))


def _values_in(which: SongFilter) -> Iterator[FilterValue]:
    for each in which.collections:
        yield FilterValue("collection", shown(each), each, SongFilter(collections=(each,)))
    for each in which.tags:
        yield FilterValue("tag", shown(each), each, SongFilter(tags=(each,)))
    for each in which.metres:
        yield FilterValue("metre", shown(each), each, SongFilter(metres=(each,)))
    for each in which.uses:
        yield FilterValue("technique", shown(each), each, SongFilter(uses=(each,)))
    for each in which.sets:
        yield FilterValue("set", shown(each), each, SongFilter(sets=(each,)))
    for column, each in which.facts:
        yield FilterValue(column, shown(each), each, SongFilter(facts=((column, each),)))
    lowest, highest = which.lowest_level, which.highest_level
    ends = [level for level in (lowest, highest) if level is not None]
    if ends:
        alone = SongFilter(lowest_level=lowest, highest_level=highest, estimated=which.estimated)
        fact = "estimated level" if which.estimated else "level"
        yield FilterValue(fact, _levels_in_words(lowest, highest), sum(ends) / len(ends), alone)


def _levels_in_words(lowest: float | None, highest: float | None) -> str:
    if lowest is None:
        return f"{highest:g} or less"
    if highest is None:
        return f"{lowest:g} or more"
    return f"{lowest:g}" if lowest == highest else f"{lowest:g} to {highest:g}"


def _unknown(value: FilterValue, known: list[str] | list[float]) -> UnknownValueError:
    no_song = _NO_SONG_WITH.get(value.fact, f"No song has the {value.fact} {{}}")
    problem = no_song.replace("{}", value.shown)
    if not known:
        return UnknownValueError(
            f"{problem}: no song of the catalogue has a {value.fact} yet.",
            _NEXT_WITHOUT_ANY.get(value.fact, _DESCRIBE.format(value.fact)),
        )
    nearest = ", ".join(_nearest(value.value, known))
    some = f"the nearest of its {len(known)}" if len(known) > MOST_LISTED else "its"
    return UnknownValueError(
        f"{problem} in the catalogue; {some} {value.fact}s: {nearest}.", "use one of these."
    )


def _nearest(value: str | float, known: list[str] | list[float]) -> list[str]:
    """List the values nearest to one: numbers ascending, texts by how alike they are."""
    if not isinstance(value, str):
        levels = sorted(map(float, known), key=lambda level: (abs(level - value), level))
        return [f"{level:g}" for level in sorted(levels[:MOST_LISTED])]
    spellings = {text.casefold(): text for text in sorted(map(str, known), reverse=True)}

    def unlikeness(text: str) -> tuple[float, str]:
        return -difflib.SequenceMatcher(None, text, value.casefold()).ratio(), text

    return [spellings[text] for text in sorted(spellings, key=unlikeness)[:MOST_LISTED]]
