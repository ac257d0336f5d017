"""The maximum number of rows of a result."""

from numbers import Integral

from melodex.errors import QueryError, shown


def row_limit(limit: object) -> int | None:
    """Return a limit as an integer; None, for every row, stays None.

    Raises
    ------
    QueryError
        If it is not a whole number, or less than 1.
    """
    if limit is None:
        return None
    if isinstance(limit, bool) or not isinstance(limit, Integral) or limit < 1:
        raise QueryError(
            f"A limit of {shown(limit)} is not possible.",
            "give a whole number, 1 or more; in Python, None for everything.",
        )
    return int(limit)
