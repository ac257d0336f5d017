"""What every song of a catalogue demands, worked out once for each state of its melodies."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, NamedTuple

from melodex.features.suggested_levels import LevelScale
from melodex.index.checksums import verify
from melodex.index.connection import check_types, damage_explained
from melodex.index.derived_files import DerivedFiles, sealed, unsealed
from melodex.index.intake.plain_records import from_plain
from melodex.index.store import Catalogue
from melodex.model.demands import Demands, Hands, TechniqueUse
from melodex.model.metre import Metre

FILE_NAME = "demands.json"
_SCORES = """
    SELECT song.song, measure_grid, stated, checksum
    FROM song JOIN score ON score.song = song.id
"""
# Of the state used last, which only copies of a catalogue share; another thread may change it.
_LATEST: dict[str, Mapping[str, Demands]] = {}
_LEVELS = """
    SELECT song.song, value FROM song JOIN fact ON fact.song = song.id
    WHERE fact.name = 'level' ORDER BY song.song
"""


class _Stated(NamedTuple):
    """What a song's score states."""

    metre: Metre
    tempo: float | None
    has_strings: bool


def demands_in(catalogue: Catalogue) -> Mapping[str, Demands]:
    """Return what songs demand of their players, by id; songs without notes are left out.

    It is read from where it was kept, or worked out and kept; a site reads it once for each state.
    """
    state = catalogue.melody_version()
    found = _LATEST.get(state)
    if found is None:
        found = _kept_or_worked_out(catalogue, state)
        _LATEST.clear()
        _LATEST[state] = found
    return found


def _kept_or_worked_out(catalogue: Catalogue, state: str) -> Mapping[str, Demands]:
    files = DerivedFiles.of(catalogue.path, state)
    if (kept := files.read(FILE_NAME, _read)) is not None:
        return kept
    found = dict(_worked_out(catalogue))
    if catalogue.melody_version() == state:  # else another process has added songs meanwhile
        text = json.dumps({song: asdict(demands) for song, demands in found.items()})
        files.write(FILE_NAME, [sealed(text)])
    return found


def _worked_out(catalogue: Catalogue) -> Iterator[tuple[str, Demands]]:
    from melodex.features.measured_demands import demands_of
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
        hands=None if hands is None else Hands(**hands),
        uses=None
        if uses is None
        else tuple(TechniqueUse(use["technique"], tuple(use["measures"])) for use in uses),
    )


def level_scale_in(catalogue: Catalogue, demands: Mapping[str, Demands]) -> LevelScale:
    """Return the scale by which the songs of a catalogue that were given no level get one."""
    given = given_levels_in(catalogue)
    return LevelScale((demands[song], level) for song, level in given.items() if song in demands)


def given_levels_in(catalogue: Catalogue) -> dict[str, float]:
    """Return the levels that songs were given, by id."""
    with catalogue.reading() as connection:
        rows = connection.execute(_LEVELS).fetchall()
    check_types(rows, (str, float | int), catalogue.path)
    return dict(rows)
