"""Licks stored in the catalogue: named by the user, or in the last list of recurring licks."""

import contextlib
import json
import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from melodex.errors import LickNotFoundError, QueryError, ReadOnlyError
from melodex.index.connection import damage_explained
from melodex.index.intake.plain_records import fields_from_plain, from_plain, to_plain
from melodex.index.song_records import PackedMelody, as_utf8, pack_melody, unpack_melody
from melodex.index.store import Catalogue
from melodex.model.lick import Lick
from melodex.model.metre import Metre

_COLUMNS = "name, came_from, metre, notes, phrase_ends, chord_tones, grace_notes, sections, stated"
_KEPT = f"SELECT {_COLUMNS} FROM kept_lick"  # noqa: S608 - constants
_LISTED = f"SELECT {_COLUMNS} FROM listed_lick"  # noqa: S608
_STATED = ("hands", "chords")  # fields of a lick stored as one JSON object
_NO_SECTIONS = np.empty((0, 2))


def keep_lick(catalogue: Catalogue, name: str, lick: Lick) -> None:
    """Store a lick under a name; names are case-insensitive.

    Raises
    ------
    QueryError
        If the name is empty or taken.
    """
    name = _name_for_a_lick(name)
    with catalogue.writing() as connection:
        _refuse_taken(connection, name)
        connection.execute(
            "INSERT INTO kept_lick VALUES (?,?,?,?,?,?,?,?,?,?)",
            (name.casefold(), *_row_of(name, lick)),
        )


def rename_lick(catalogue: Catalogue, name: str, new_name: str) -> None:
    """Rename a stored lick, or change the case of its name.

    Raises
    ------
    LickNotFoundError
        If there is none of that name; the message lists the names.
    QueryError
        If the new name is empty or taken.
    """
    folded, new_name = " ".join(name.split()).casefold(), _name_for_a_lick(new_name)
    with catalogue.writing() as connection:
        if new_name.casefold() != folded:
            _refuse_taken(connection, new_name)
        renamed = connection.execute(
            "UPDATE kept_lick SET folded_name = ?, name = ? WHERE folded_name = ?",
            (new_name.casefold(), new_name, folded),
        )
    if not renamed.rowcount:
        raise _not_kept(catalogue, name)


def _name_for_a_lick(given: str) -> str:
    name = " ".join(as_utf8(given).split())
    if not name:
        raise QueryError("The lick has no name.", "give it one, such as 'first fill'.")
    return name


def _refuse_taken(connection: sqlite3.Connection, name: str) -> None:
    given = "SELECT name FROM kept_lick WHERE folded_name = ?"
    if connection.execute(given, (name.casefold(),)).fetchone():
        raise QueryError(
            f"A lick called '{name}' already exists.",
            "choose another name, or forget that one first.",
        )


def kept_licks(catalogue: Catalogue) -> list[tuple[str, Lick]]:
    """Return the names and licks stored, sorted by name."""
    return _read(catalogue, f"{_KEPT} ORDER BY folded_name")


def kept_lick(catalogue: Catalogue, name: str) -> Lick:
    """Return the lick stored under a name.

    Raises
    ------
    LickNotFoundError
        If there is none; the message lists the names.
    """
    folded = " ".join(name.split()).casefold()
    query = f"{_KEPT} WHERE folded_name = ?"
    for _, lick in _read(catalogue, query, (folded,)):
        return lick
    raise _not_kept(catalogue, name)


def forget_lick(catalogue: Catalogue, name: str) -> None:
    """Delete a stored lick.

    Raises
    ------
    LickNotFoundError
        If there is none of that name; the message lists the names.
    """
    folded = " ".join(name.split()).casefold()
    with catalogue.writing() as connection:
        removed = connection.execute("DELETE FROM kept_lick WHERE folded_name = ?", (folded,))
    if not removed.rowcount:
        raise _not_kept(catalogue, name)


def remember_listed(catalogue: Catalogue, licks: Iterable[tuple[str, Lick]]) -> None:
    """Store a list of licks, replacing the previous one; their numbers start at 1.

    A read-only catalogue keeps the previous list.
    """
    rows = [(n, *_row_of(name, lick)) for n, (name, lick) in enumerate(licks, start=1)]
    with contextlib.suppress(ReadOnlyError), catalogue.writing() as connection:
        connection.execute("DELETE FROM listed_lick")
        connection.executemany("INSERT INTO listed_lick VALUES (?,?,?,?,?,?,?,?,?,?)", rows)


def listed_lick(catalogue: Catalogue, number_or_name: str) -> Lick:
    """Return a lick of the last list by its number, name or id, case-insensitively.

    Raises
    ------
    LickNotFoundError
        If it is not on the list.
    """
    folded = " ".join(number_or_name.split()).casefold()
    folded = folded.replace("–", "-").replace("\N{WORD JOINER}", "")  # as pages print measures
    for number, (lick_id, lick) in enumerate(_read(catalogue, f"{_LISTED} ORDER BY number"), 1):
        if folded in {str(number), lick_id.casefold(), lick.came_from.casefold()}:
            return lick
    raise LickNotFoundError(
        f"The last list of licks has no '{number_or_name}'.",
        "list the licks again and give a number or a name from that list.",
    )


def _row_of(name: str, lick: Lick) -> tuple[object, ...]:
    metre = json.dumps(to_plain(lick.metre))
    stated = json.dumps({name: to_plain(getattr(lick, name)) for name in _STATED})
    packed = pack_melody(lick.melody, _NO_SECTIONS)
    return (name, as_utf8(lick.came_from), metre, *packed, stated)


def _read(catalogue: Catalogue, query: str, values: Sequence[str] = ()) -> list[tuple[str, Lick]]:
    with catalogue.reading() as connection:
        rows: list[Any] = connection.execute(query, values).fetchall()
    with damage_explained(catalogue.path):
        return [
            (
                str(name),
                Lick(
                    unpack_melody(PackedMelody._make(packed))[0],
                    str(came_from),
                    from_plain(json.loads(metre), Metre),
                    **fields_from_plain(json.loads(stated), Lick),
                ),
            )
            for name, came_from, metre, *packed, stated in rows
        ]


def _not_kept(catalogue: Catalogue, name: str) -> LickNotFoundError:
    names = [f"'{kept}'" for kept, _ in kept_licks(catalogue)]
    return LickNotFoundError(
        f"There is no kept lick called '{name}'.",
        f"these are kept: {', '.join(names)}." if names else "none is kept yet; keep one first.",
    )
