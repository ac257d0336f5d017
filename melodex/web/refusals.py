"""What the site does not do, as errors with the status that a browser is told."""

from melodex.errors import (
    CatalogueError,
    LickNotFoundError,
    MelodexError,
    SongNotFoundError,
    UnknownValueError,
    WorkNotFoundError,
)

BAD_REQUEST, FORBIDDEN, NOT_FOUND, NOT_ALLOWED = 400, 403, 404, 405
TOO_LARGE, MISDIRECTED, MISTAKE, UNAVAILABLE = 413, 421, 500, 503
_NOTHING_FOUND = (SongNotFoundError, LickNotFoundError, UnknownValueError, WorkNotFoundError)


class Refusal(MelodexError):  # noqa: N818 - nothing has gone wrong
    """A request that the site refuses.

    Parameters
    ----------
    status : int
        Of HTTP.
    """

    def __init__(self, problem: str, next_step: str, *, status: int = BAD_REQUEST) -> None:
        super().__init__(problem, next_step)
        self.status = status


def status_of(error: MelodexError) -> int:
    """Return the HTTP status of an error's page."""
    if isinstance(error, Refusal):
        return error.status
    if isinstance(error, _NOTHING_FOUND):
        return NOT_FOUND
    return UNAVAILABLE if isinstance(error, CatalogueError) else BAD_REQUEST
