"""Join levels, tags and other facts to songs."""

from pathlib import Path

from melodex.index.descriptions import describe
from melodex.index.store import Catalogue
from melodex.model.description import DescribeReport


def describe_songs(catalogue: Catalogue, table: Path) -> DescribeReport:
    """Read a CSV of facts about songs and keep them in the catalogue, all or none.

    Raises
    ------
    DescriptionError
        If the CSV cannot be used; it names the line and the column.
    """
    return describe(catalogue, table)
