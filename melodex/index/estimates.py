"""Techniques and suggested levels in temporary tables, where filters can use them like facts."""

import json

from melodex.features.playing.technique_names import technique_key
from melodex.index.kept_demands import demands_in, given_levels_in, level_scale_in
from melodex.index.store import Catalogue
from melodex.model.catalogue import SongFilter

# Temporary tables of the connection, because a catalogue's file only contains what was read or
# described.
_TABLES = """
    CREATE TEMP TABLE IF NOT EXISTS estimated_from (state TEXT NOT NULL);
    CREATE TEMP TABLE IF NOT EXISTS technique (
        song TEXT NOT NULL, name TEXT NOT NULL, key TEXT NOT NULL, PRIMARY KEY (song, name)
    ) WITHOUT ROWID;
    CREATE TEMP TABLE IF NOT EXISTS suggestion (
        song TEXT PRIMARY KEY, level REAL NOT NULL
    ) WITHOUT ROWID;
"""


def lay_out_estimates(catalogue: Catalogue, which: SongFilter) -> None:
    """Fill the tables ``technique`` and ``suggestion`` if a filter needs them.

    They are valid for one state of the catalogue, which includes the stated levels, because
    suggestions are based on them.
    """
    if not which.needs_estimates:
        return
    given = given_levels_in(catalogue)
    state = json.dumps([catalogue.melody_version(), given])
    with catalogue.reading() as connection:
        connection.executescript(_TABLES)
        if connection.execute("SELECT state FROM estimated_from").fetchall() == [(state,)]:
            return
        demands = demands_in(catalogue)
        scale = level_scale_in(catalogue, demands)
        with connection:
            connection.execute("BEGIN")
            for table in ("estimated_from", "technique", "suggestion"):
                connection.execute(f"DELETE FROM {table}")  # noqa: S608 - constants
            connection.executemany(
                "INSERT INTO technique VALUES (?, ?, ?)",
                (
                    (song, use.technique, technique_key(use.technique))
                    for song, each in demands.items()
                    for use in each.uses or ()
                ),
            )
            connection.executemany(
                "INSERT INTO suggestion VALUES (?, ?)",
                ((song, scale.level(each)) for song, each in demands.items() if song not in given),
            )
            connection.execute("INSERT INTO estimated_from VALUES (?)", (state,))
