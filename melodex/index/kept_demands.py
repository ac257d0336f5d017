"""The demands of every song in a catalogue, computed once for each state of its melodies."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, NamedTuple

from melodex.features.playing.suggested_levels import LevelScale
from melodex.index.checksums import verify
from melodex.index.connection import check_types, damage_explained
from melodex.index.derived_files import DerivedFiles, sealed, unsealed
from melodex.index.intake.plain_records import from_plain
from melodex.index.store import Catalogue
from melodex.model.demands import Demands, HandDemands, TechniqueUse
from melodex.model.metre import Metre

FILE_NAME = "demands.json"
_SCORES = """
    SELECT song.song, measure_grid, stated, checksum
    FROM song JOIN score ON score.song = song.id
"""
# For the state used last, shared by copies of a catalogue; other threads may replace it.
_LATEST: dict[str, Mapping[str, Demands]] = {}
_LEVELS = """
    SELECT song.song, value FROM song JOIN fact ON fact.song = song.id
    WHERE fact.name = 'level' ORDER BY song.song
"""


class _Stated(NamedTuple):
    """The facts stated in a song's score."""

    metre: Metre
    tempo: float | None
    has_strings: bool


def demands_in(catalogue: Catalogue) -> Mapping[str, Demands]:
    """Return what songs demand of their players, by id; songs without notes are left out.

    The result is stored for each state of the catalogue, and cached in memory.
    """
    state = catalogue.melody_version()
    found = _LATEST.get(state)
    if found is None:
        found = _stored_or_computed(catalogue, state)
        _LATEST.clear()
        _LATEST[state] = found
    return found


def _stored_or_computed(catalogue: Catalogue, state: str) -> Mapping[str, Demands]:
    files = DerivedFiles.of(catalogue.path, state)
    if (kept := files.read(FILE_NAME, _read)) is not None:
        return kept
    found = dict(_computed(catalogue))
    if catalogue.melody_version() == state:  # else another process added songs
        text = json.dumps({song: asdict(demands) for song, demands in found.items()})
        files.write(FILE_NAME, [sealed(text)])
    return found


def _computed(catalogue: Catalogue) -> Iterator[tuple[str, Demands]]:
    from melodex.features.playing.measured_demands import demands_of
    from melodex.features.written_tab import written_tab

    stated = _stated_in(catalogue)
    for song, melody, _, _ in catalogue.melodies():
        if song not in stated:  # another process has just added it
            continue
        metre, tempo, has_strings = stated[song]
        tab = written_tab(catalogue.song(song)) if has_strings else None
        if demands := demands_of(melody, metre, tempo, tab):
            yield song, demands


def _stated_in(catalogue: Catalogue) -> dict[str, _Stated]:
    stated: dict[str, _Stated] = {}
    with catalogue.reading() as connection:
        for song, *score, checksum in connection.execute(_SCORES):
            with damage_explained(catalogue.path, song):
                verify(score, checksum)
                facts = json.loads(score[-1])
                metre = from_plain(facts["metre"], Metre)
                stated[song] = _Stated(metre, facts["tempo"], bool(facts["tuning"]))
    return stated


def _read(path: Path) -> dict[str, Demands]:
    found = json.loads(unsealed(path.read_bytes()))
    return {song: _demands(row) for song, row in found.items()}


def _demands(row: dict[str, Any]) -> Demands:
    hands, uses = row.pop("hands"), row.pop("uses")
    return Demands(
        **row,
        hands=None if hands is None else HandDemands(**hands),
        uses=None
        if uses is None
        else tuple(TechniqueUse(use["technique"], tuple(use["measures"])) for use in uses),
    )


def level_scale_in(catalogue: Catalogue, demands: Mapping[str, Demands]) -> LevelScale:
    """Return the scale that suggests levels for the songs of a catalogue without one."""
    given = given_levels_in(catalogue)
    return LevelScale((demands[song], level) for song, level in given.items() if song in demands)


def given_levels_in(catalogue: Catalogue) -> dict[str, float]:
    """Return the stated levels of songs, by id."""
    with catalogue.reading() as connection:
        rows = connection.execute(_LEVELS).fetchall()
    check_types(rows, (str, float | int), catalogue.path)
    return dict(rows)
