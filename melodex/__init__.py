"""melodex finds the melodies and licks that the songs of a collection share.

Begin with ``open_catalogue`` and ``add_songs``; ``find_lick`` finds the songs that use a lick.
Tables are returned as pandas DataFrames. ``help`` on any name explains its arguments, columns,
units and errors; every error is a ``MelodexError``, which says what is wrong and what to do next.

- Songs: ``open_catalogue``, ``add_songs``, ``describe_songs``, ``list_songs``, ``group_songs``,
  ``remove_song``; ``song_filter`` chooses the songs that other functions work on.
- A lick: ``lick_from_notes``, ``lick_from_names``, ``lick_from_degrees``, ``lick_from_tab``,
  ``lick_from_abc``, ``lick_from_song``, ``lick_from_file``.
- Searches: ``find_lick``, ``find_shape``, ``nearest_songs``, ``shared_phrases``,
  ``melody_vectors``.
- Licks that recur: ``recurring_licks``, ``listed_lick``, ``keep_lick``, ``kept_licks``,
  ``kept_lick``, ``rename_lick``, ``forget_lick``.
- Lessons: ``plan_lessons``, ``judge_lessons``, ``plan_lessons_again``, ``Limits``,
  ``known_material``, ``next_songs``.
- A repertoire: ``audit``, ``draw_audit``.
- The banjo: ``tab_of_song``, ``arrange_song``, ``place_lick``, ``song_with_lick``, ``tab_text``,
  ``write_tab``, ``tuning_named``.
- Reports: ``report_lick``, ``report_pair``, ``report_plan``, ``report_audit``, ``write_report``.

Names are loaded when they are first used: importing melodex does no work.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from melodex.errors import MelodexError
    from melodex.finder.add_songs import add_songs
    from melodex.finder.arrange_song import arrange_song
    from melodex.finder.describe_songs import describe_songs
    from melodex.finder.draw_audit import draw_audit
    from melodex.finder.filters import song_filter
    from melodex.finder.kept_licks import (
        forget_lick,
        keep_lick,
        kept_lick,
        listed_lick,
        rename_lick,
    )
    from melodex.finder.open_catalogue import open_catalogue
    from melodex.finder.place_lick import song_with_lick
    from melodex.finder.remove_song import remove_song
    from melodex.finder.report_audit import report_audit
    from melodex.finder.report_file import write_report
    from melodex.finder.report_lick import report_lick
    from melodex.finder.report_pair import report_pair
    from melodex.finder.report_plan import report_plan
    from melodex.finder.tab_of_song import tab_of_song, tab_text, write_tab
    from melodex.frames.audit_tables import audit
    from melodex.frames.lesson_tables import (
        judge_lessons,
        known_material,
        next_songs,
        plan_lessons,
        plan_lessons_again,
    )
    from melodex.frames.lick_tables import kept_licks, place_lick, recurring_licks
    from melodex.frames.search_tables import (
        find_lick,
        find_shape,
        melody_vectors,
        nearest_songs,
        shared_phrases,
    )
    from melodex.frames.song_tables import group_songs, list_songs
    from melodex.model.lesson import Limits
    from melodex.model.tuning import tuning_named
    from melodex.parsing.lick_numbers import lick_from_notes
    from melodex.parsing.lick_tab import lick_from_tab
    from melodex.parsing.lick_text import lick_from_degrees, lick_from_names
    from melodex.search.query import lick_from_abc, lick_from_file, lick_from_song

    __version__: str

__all__ = [
    "Limits",
    "MelodexError",
    "__version__",
    "add_songs",
    "arrange_song",
    "audit",
    "describe_songs",
    "draw_audit",
    "find_lick",
    "find_shape",
    "forget_lick",
    "group_songs",
    "judge_lessons",
    "keep_lick",
    "kept_lick",
    "kept_licks",
    "known_material",
    "lick_from_abc",
    "lick_from_degrees",
    "lick_from_file",
    "lick_from_names",
    "lick_from_notes",
    "lick_from_song",
    "lick_from_tab",
    "list_songs",
    "listed_lick",
    "melody_vectors",
    "nearest_songs",
    "next_songs",
    "open_catalogue",
    "place_lick",
    "plan_lessons",
    "plan_lessons_again",
    "recurring_licks",
    "remove_song",
    "rename_lick",
    "report_audit",
    "report_lick",
    "report_pair",
    "report_plan",
    "shared_phrases",
    "song_filter",
    "song_with_lick",
    "tab_of_song",
    "tab_text",
    "tuning_named",
    "write_report",
    "write_tab",
]

_HOMES = {
    "melodex.errors": ["MelodexError"],
    "melodex.finder.add_songs": ["add_songs"],
    "melodex.finder.arrange_song": ["arrange_song"],
    "melodex.finder.describe_songs": ["describe_songs"],
    "melodex.finder.draw_audit": ["draw_audit"],
    "melodex.finder.filters": ["song_filter"],
    "melodex.finder.kept_licks": [
        "forget_lick",
        "keep_lick",
        "kept_lick",
        "listed_lick",
        "rename_lick",
    ],
    "melodex.finder.open_catalogue": ["open_catalogue"],
    "melodex.finder.place_lick": ["song_with_lick"],
    "melodex.finder.remove_song": ["remove_song"],
    "melodex.finder.report_audit": ["report_audit"],
    "melodex.finder.report_file": ["write_report"],
    "melodex.finder.report_lick": ["report_lick"],
    "melodex.finder.report_pair": ["report_pair"],
    "melodex.finder.report_plan": ["report_plan"],
    "melodex.finder.tab_of_song": ["tab_of_song", "tab_text", "write_tab"],
    "melodex.frames.audit_tables": ["audit"],
    "melodex.frames.lesson_tables": [
        "judge_lessons",
        "known_material",
        "next_songs",
        "plan_lessons",
        "plan_lessons_again",
    ],
    "melodex.frames.lick_tables": ["kept_licks", "place_lick", "recurring_licks"],
    "melodex.frames.search_tables": [
        "find_lick",
        "find_shape",
        "melody_vectors",
        "nearest_songs",
        "shared_phrases",
    ],
    "melodex.frames.song_tables": ["group_songs", "list_songs"],
    "melodex.model.lesson": ["Limits"],
    "melodex.model.tuning": ["tuning_named"],
    "melodex.parsing.lick_numbers": ["lick_from_notes"],
    "melodex.parsing.lick_tab": ["lick_from_tab"],
    "melodex.parsing.lick_text": ["lick_from_degrees", "lick_from_names"],
    "melodex.search.query": ["lick_from_abc", "lick_from_file", "lick_from_song"],
}


def __getattr__(name: str) -> object:
    if name == "__version__":
        return import_module("importlib.metadata").version("melodex")
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'melodex' has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*globals(), *__all__]
