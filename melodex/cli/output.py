"""Print results for programs, as JSON or as CSV, or else for people."""

import csv
import dataclasses
import json
import sys
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from melodex.cli.printable import printable_json, spreadsheet_text
from melodex.cli.terminal import Row, value_in_cell
from melodex.errors import QueryError


def print_records(
    kind: type[Any],
    records: Sequence[Any],
    print_for_people: Callable[[], None],
    *,
    as_json: bool,
    as_csv: bool,
) -> None:
    """Print frozen records of one kind in the chosen form; the fields' names are the keys.

    Raises
    ------
    QueryError
        If both forms are chosen.
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
    """Raise a QueryError if both JSON and CSV are chosen."""
    if as_json and as_csv:
        raise QueryError("--json and --csv exclude each other.", "choose one of them.")


def print_json(document: object) -> None:
    """Print one JSON document; dates as 2027-01-11."""
    text = json.dumps(document, ensure_ascii=False, indent=2, default=date.isoformat)
    sys.stdout.write(f"{printable_json(text)}\n")


def print_csv(names: Sequence[str], rows: Sequence[Row]) -> None:
    """Print CSV with a header, lists and pairs in cells as ``value_in_cell`` writes them.

    A text that a spreadsheet would run as a formula has an apostrophe before it; numbers stay
    numbers.
    """
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(map(spreadsheet_text, names))
    writer.writerows([_cell(row[name]) for name in names] for row in rows)


def _cell(value: object) -> object:
    shown = value_in_cell(value)
    return spreadsheet_text(shown) if isinstance(shown, str) else shown
