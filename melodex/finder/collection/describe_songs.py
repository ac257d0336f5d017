"""Add levels, tags and other facts to songs."""

from melodex.index.descriptions import describe
from melodex.index.store import Catalogue
from melodex.model.description import DescribeReport
from melodex.parsing.given_path import FilePath, path_of


def describe_songs(catalogue: Catalogue, table: FilePath) -> DescribeReport:
    """Read a CSV of facts about songs into the catalogue, all of its lines or none.

    Facts survive when a song's file is read again.

    Parameters
    ----------
    table : str or path
        A CSV with a column ``song`` (ids) or ``title``. A column ``level`` holds a number, ``tags``
        are separated by semicolons, and any other column (``term``, ``remark``, ...) is kept as it
        is; an empty cell deletes a fact. Commas, semicolons or tabs may separate the cells.

    Returns
    -------
    DescribeReport
        ``described``: how many songs. ``unmatched``: the lines that name no song, or more than one,
        each with ``line``, ``song`` and ``reason``, which lists the nearest titles.

    Raises
    ------
    DescriptionError
        If the CSV cannot be read or a line is wrong; it names the line and the column.

    Examples
    --------
    ::

        report = melodex.describe_songs(catalogue, levels)
        print(report.described, [line.song for line in report.unmatched])
    """
    return describe(catalogue, path_of(table))
