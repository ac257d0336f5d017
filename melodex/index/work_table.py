"""Plans, students and sets of songs saved in the catalogue, each with a name and a permanent id."""

import secrets
import sqlite3
from datetime import datetime
from typing import NamedTuple

from melodex.errors import QueryError, WorkNotFoundError
from melodex.index.song_records import as_utf8
from melodex.index.store import Catalogue
from melodex.model.saved_work import SavedWork, WorkKind

LONGEST_NAME = 100  # characters; it must fit into a heading
LONGEST_CONTENT = 1_000_000  # characters; a set of 12,760 songs has 300,000
_ID_BYTES = 9  # random: among a billion works, two share an id with probability 1 in 10,000
_COLUMNS = "work, kind, name, content, created, changed, before, student"
_SELECT = f"SELECT {_COLUMNS} FROM saved_work"  # noqa: S608 - constants


class Evaluation(NamedTuple):
    """An evaluation of a plan, as JSON, and a token of its inputs."""

    text: str
    evaluated: str


def save_work(
    catalogue: Catalogue, kind: WorkKind, name: str, content: str, *, student: str = ""
) -> SavedWork:
    """Save new work under a name and return it.

    Raises
    ------
    QueryError
        If the name is empty, too long or taken, or the content is too long.
    """
    name, now = checked_name(name), _now()
    work = secrets.token_urlsafe(_ID_BYTES)
    row = (work, kind, name, name.casefold(), _checked(content), now, now, _checked(student))
    with catalogue.writing() as connection:
        _refuse_taken(connection, kind, name)
        connection.execute(
            "INSERT INTO saved_work VALUES (?, ?, ?, ?, ?, ?, ?, NULL, ?, NULL, NULL)", row
        )
    return saved_work(catalogue, work)


def saved_works(catalogue: Catalogue) -> list[SavedWork]:
    """Return all saved work, sorted by kind and name."""
    with catalogue.reading() as connection:
        rows = connection.execute(f"{_SELECT} ORDER BY kind, folded_name, work").fetchall()
    return [_work_of(row) for row in rows]


def saved_work(catalogue: Catalogue, work: str) -> SavedWork:
    """Return the work with an id.

    Raises
    ------
    WorkNotFoundError
        If there is none, perhaps because it was deleted.
    """
    with catalogue.reading() as connection:
        row = connection.execute(f"{_SELECT} WHERE work = ?", (work,)).fetchone()
    if row is None:
        raise WorkNotFoundError(
            "This plan, student or set is not in the catalogue; it may have been deleted.",
            "look for it in the list of saved work.",
        )
    return _work_of(row)


def work_named(catalogue: Catalogue, kind: WorkKind, name: str) -> SavedWork | None:
    """Return the work with a name, case-insensitively; None if there is none."""
    folded = " ".join(name.split()).casefold()
    query = f"{_SELECT} WHERE kind = ? AND folded_name = ?"
    with catalogue.reading() as connection:
        row = connection.execute(query, (kind, folded)).fetchone()
    return None if row is None else _work_of(row)


def free_name(catalogue: Catalogue, kind: WorkKind, name: str) -> str:
    """Return a name, or the first free one of "name, 2", "name, 3", ..."""
    taken = {work.name.casefold() for work in saved_works(catalogue) if work.kind == kind}
    name = checked_name(name)
    free, number = name, 1
    while free.casefold() in taken:
        number += 1
        ending = f", {number}"
        free = name[: LONGEST_NAME - len(ending)] + ending
    return free


def change_work(catalogue: Catalogue, work: str, content: str) -> None:
    """Replace the content; the previous one is kept for ``undo_change``.

    Raises
    ------
    WorkNotFoundError
        If nothing has that id.
    QueryError
        If the content is too long.
    """
    _update(
        catalogue,
        "UPDATE saved_work SET before = content, content = ?, changed = ? "
        "WHERE work = ? AND content != ?",
        work,
        (_checked(content), _now(), work, content),
    )


def undo_change(catalogue: Catalogue, work: str) -> None:
    """Swap the content with the previous one; doing it twice restores it.

    Raises
    ------
    WorkNotFoundError
        If nothing has that id.
    """
    _update(
        catalogue,
        "UPDATE saved_work SET content = before, before = content, changed = ? "
        "WHERE work = ? AND before IS NOT NULL",
        work,
        (_now(), work),
    )


def rename_work(catalogue: Catalogue, work: str, name: str) -> None:
    """Change the name; the id stays.

    Raises
    ------
    WorkNotFoundError
        If nothing has that id.
    QueryError
        If the name is empty, too long or taken.
    """
    name, old = checked_name(name), saved_work(catalogue, work)
    with catalogue.writing() as connection:
        if name.casefold() != old.name.casefold():
            _refuse_taken(connection, old.kind, name)
        connection.execute(
            "UPDATE saved_work SET name = ?, folded_name = ? WHERE work = ?",
            (name, name.casefold(), work),
        )


def delete_work(catalogue: Catalogue, work: str) -> None:
    """Delete the work with an id.

    Raises
    ------
    WorkNotFoundError
        If there is none.
    """
    _update(catalogue, "DELETE FROM saved_work WHERE work = ?", work, (work,))


def keep_evaluation(catalogue: Catalogue, work: str, evaluation: Evaluation) -> None:
    """Store the evaluation of a plan.

    Raises
    ------
    WorkNotFoundError
        If nothing has that id.
    """
    _update(
        catalogue,
        "UPDATE saved_work SET evaluation = ?, evaluated = ? WHERE work = ?",
        work,
        (*evaluation, work),
    )


def kept_evaluation(catalogue: Catalogue, work: str) -> Evaluation | None:
    """Return the evaluation stored last; None if there is none."""
    query = "SELECT evaluation, evaluated FROM saved_work WHERE work = ?"
    with catalogue.reading() as connection:
        row = connection.execute(query, (work,)).fetchone()
    return None if row is None or None in row else Evaluation(*row)


def _update(catalogue: Catalogue, statement: str, work: str, values: tuple[str, ...]) -> None:
    saved_work(catalogue, work)  # raises if there is none
    with catalogue.writing() as connection:
        connection.execute(statement, values)


def _work_of(row: tuple[str, ...]) -> SavedWork:
    work, kind, *others = row
    return SavedWork(work, WorkKind(kind), *others)


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


def _checked(content: str) -> str:
    if len(content) > LONGEST_CONTENT:
        raise QueryError(
            f"That is longer than {LONGEST_CONTENT:,} characters.", "save it in several parts."
        )
    return as_utf8(content)


def checked_name(given: str) -> str:
    """Return a valid name, with runs of spaces collapsed.

    Raises
    ------
    QueryError
        If it is empty or too long.
    """
    name = " ".join(as_utf8(given).split())
    if not name:
        raise QueryError("The name is missing.", "write one, such as 'Autumn term'.")
    if len(name) > LONGEST_NAME:
        raise QueryError("The name is too long.", f"shorten it to {LONGEST_NAME} characters.")
    return name


def _refuse_taken(connection: sqlite3.Connection, kind: WorkKind, name: str) -> None:
    taken = "SELECT 1 FROM saved_work WHERE kind = ? AND folded_name = ?"
    if connection.execute(taken, (kind, name.casefold())).fetchone():
        raise QueryError(
            f"A {kind} is called '{name}' already.", "choose another name, or rename that one."
        )
