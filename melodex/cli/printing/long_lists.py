"""Long lists, cut to their first rows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from melodex.cli.terminal import Row, print_lines, print_table


@dataclass(frozen=True, slots=True)
class Lists:
    """Prints lists under headings, at most ``limit`` rows of each."""

    limit: int

    def print(self, title: str, columns: Mapping[str, str], rows: Sequence[Row]) -> None:
        """Print the first rows of a list, and how many more there are; nothing if it is empty.

        Parameters
        ----------
        columns : mapping
            As ``print_table`` takes them.
        """
        if not rows:
            return
        print_lines(
            f"{title}: {len(rows)}"
        )  # as a table's title it would be folded to the table's width
        print_table(columns, rows[: self.limit])
        if len(rows) > self.limit:
            print_lines(f"... and {len(rows) - self.limit} more")
        print_lines("")
