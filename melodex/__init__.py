"""melodex finds the melodies and licks that the songs of a collection share.

The public names are loaded when they are first asked for: importing melodex does no work.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from melodex.errors import MelodexError
    from melodex.finder.filters import song_filter
    from melodex.finder.kept_licks import keep_lick
    from melodex.finder.open_catalogue import open_catalogue
    from melodex.frames.songs import (
        add_songs,
        find_lick,
        list_songs,
        melody_vectors,
        nearest_songs,
        shared_phrases,
    )
    from melodex.frames.teaching import (
        audit,
        known_material,
        next_songs,
        place_lick,
        plan_lessons,
        recurring_licks,
    )
    from melodex.model.lesson import Limits
    from melodex.parsing.lick_numbers import lick_from_notes
    from melodex.parsing.lick_text import lick_from_degrees, lick_from_names, lick_from_tab
    from melodex.search.query import lick_from_abc, lick_from_file, lick_from_song

__all__ = [
    "Limits",
    "MelodexError",
    "add_songs",
    "audit",
    "find_lick",
    "keep_lick",
    "known_material",
    "lick_from_abc",
    "lick_from_degrees",
    "lick_from_file",
    "lick_from_names",
    "lick_from_notes",
    "lick_from_song",
    "lick_from_tab",
    "list_songs",
    "melody_vectors",
    "nearest_songs",
    "next_songs",
    "open_catalogue",
    "place_lick",
    "plan_lessons",
    "recurring_licks",
    "shared_phrases",
    "song_filter",
]

_HOMES = {
    "melodex.errors": ["MelodexError"],
    "melodex.finder.filters": ["song_filter"],
    "melodex.finder.kept_licks": ["keep_lick"],
    "melodex.finder.open_catalogue": ["open_catalogue"],
    "melodex.frames.songs": [
        "add_songs",
        "find_lick",
        "list_songs",
        "melody_vectors",
        "nearest_songs",
        "shared_phrases",
    ],
    "melodex.frames.teaching": [
        "audit",
        "known_material",
        "next_songs",
        "place_lick",
        "plan_lessons",
        "recurring_licks",
    ],
    "melodex.model.lesson": ["Limits"],
    "melodex.parsing.lick_numbers": ["lick_from_notes"],
    "melodex.parsing.lick_text": ["lick_from_degrees", "lick_from_names", "lick_from_tab"],
    "melodex.search.query": ["lick_from_abc", "lick_from_file", "lick_from_song"],
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'melodex' has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*globals(), *__all__]
