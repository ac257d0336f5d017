"""Report that a list was cut at its row limit."""

from melodex.cli.terminal import notice


def notice_if_limited(shown: int, limit: int, what: str, *, total: int | None = None) -> None:
    """Print on standard error that a list was cut at its limit, if it was.

    Parameters
    ----------
    shown : int
        Rows listed.
    what : str
        The rows, as a plural.
    total : int or None
        The rows that there are; None if that is unknown.
    """
    if shown < limit or shown == total:
        return
    if total is None:
        notice(f"Limited to {shown:,}; --limit N may show more {what}.")
    else:
        notice(f"{shown:,} of {total:,} {what} shown; --limit N shows more.")
