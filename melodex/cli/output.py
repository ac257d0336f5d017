"""Printing: the same rows as a table for people, as JSON or as CSV for programs."""

import csv
import dataclasses
import json
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeAlias, cast

from melodex.errors import QueryError

Row: TypeAlias = Mapping[str, object]
UNKNOWN = "unknown"


def print_records(
    kind: type[Any],
    records: Sequence[Any],
    print_for_people: Callable[[], None],
    *,
    as_json: bool,
    as_csv: bool,
) -> None:
    """Print frozen records of one kind in the form asked for; the fields' names are the keys.

    Raises
    ------
    QueryError
        If two forms are asked for at once.
    """
    refuse_two_forms(as_json=as_json, as_csv=as_csv)
    if as_json:
        print_json([dataclasses.asdict(record) for record in records])
    elif as_csv:
        names = [field.name for field in dataclasses.fields(kind)]
        print_csv(names, [dataclasses.asdict(record) for record in records])
    else:
        print_for_people()


def refuse_two_forms(*, as_json: bool, as_csv: bool) -> None:
    """Raise a QueryError if both JSON and CSV are asked for."""
    if as_json and as_csv:
        raise QueryError("--json and --csv exclude each other.", "choose one of them.")


def print_json(document: object) -> None:
    """Print one JSON document."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=2)
    sys.stdout.write("\n")


def print_csv(names: Sequence[str], rows: Sequence[Row]) -> None:
    """Print CSV with a header, a list in a cell as its values with spaces, pairs as a:b."""
    writer = csv.DictWriter(sys.stdout, fieldnames=names, lineterminator="\n")
    writer.writeheader()
    writer.writerows({key: _cell(value) for key, value in row.items()} for row in rows)


def _cell(value: object) -> object:
    if isinstance(value, list | tuple):
        return " ".join(_part(part) for part in cast("Sequence[object]", value))
    return value


def _part(part: object) -> str:
    if isinstance(part, list | tuple):
        return ":".join(map(str, cast("Sequence[object]", part)))
    return str(part)


def print_table(columns: Mapping[str, str], rows: Sequence[Row], *, title: str = "") -> None:
    """Print a table for people.

    Parameters
    ----------
    columns : mapping
        Heading to key; a heading that ends in "#" is a number's, set to the right.
    """
    from rich.console import Console
    from rich.table import Table

    table = Table(title=title or None, title_justify="left", box=None, pad_edge=False)
    for heading in columns:
        number = heading.endswith("#")
        table.add_column(
            heading.rstrip("# "),
            justify="right" if number else "left",
            overflow="fold",  # an id cut short could not be typed
        )
    for row in rows:
        table.add_row(*(_shown(row[key]) for key in columns.values()))
    Console(highlight=False).print(table)


def _shown(value: object) -> str:
    from rich.markup import escape

    if value is None:
        return UNKNOWN
    if isinstance(value, float):
        return f"{value:g}"
    return escape(str(_cell(value)))


def say(text: str = "") -> None:
    """Print a line for people on standard output."""
    sys.stdout.write(text + "\n")


def notice(text: str) -> None:
    """Tell something beside the answer, on standard error."""
    sys.stderr.write(text + "\n")
