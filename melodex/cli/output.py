"""Print results for programs, as JSON or as CSV, or else for people."""

import csv
import dataclasses
import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from melodex.cli.options import CsvOption, JsonOption
from melodex.cli.printable import printable_json, spreadsheet_text
from melodex.cli.terminal import Row, value_in_cell
from melodex.errors import QueryError


@dataclass(frozen=True, slots=True)
class OutputOptions:
    """The options that choose how results are printed.

    Raises
    ------
    QueryError
        If both forms are chosen.
    """

    as_json: JsonOption = False
    as_csv: CsvOption = False

    def __post_init__(self) -> None:
        if self.as_json and self.as_csv:
            raise QueryError("--json and --csv exclude each other.", "choose one of them.")

    @property
    def for_programs(self) -> bool:
        """Whether a program reads the results."""
        return self.as_json or self.as_csv


FOR_PEOPLE = OutputOptions()


def print_records(
    kind: type[Any],
    records: Sequence[Any],
    print_for_people: Callable[[], None],
    output: OutputOptions,
) -> None:
    """Print frozen records of one kind in the chosen form; the fields' names are the keys."""
    if output.as_json:
        print_json([dataclasses.asdict(record) for record in records])
    elif output.as_csv:
        names = [field.name for field in dataclasses.fields(kind)]
        print_csv(names, [dataclasses.asdict(record) for record in records])
    else:
        print_for_people()


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
