"""Read the tunes of a file one by one, so that an error in one does not affect the others."""

from collections.abc import Callable, Iterable

from melodex.errors import MelodexError, ScoreParseError
from melodex.model.reading import Failure, Reading
from melodex.model.song import Song, Source


def read_tunes(tunes: Iterable[tuple[Source, Callable[[Source], Song]]]) -> Reading:
    """Return the songs of a file, and a failure for every tune whose reader raises.

    Parameters
    ----------
    tunes : iterable of (Source, callable)
        The source of each tune, and a function that reads it.

    Raises
    ------
    MemoryError
        If the reading process has reached its memory limit.
    """
    songs: list[Song] = []
    failures: list[Failure] = []
    for source, read in tunes:
        try:
            songs.append(read(source))
        except ScoreParseError as error:
            failures.append(_failure(source, error.reason, error.line))
        except MelodexError as error:
            failures.append(_failure(source, reason_in(error)))
        except MemoryError:
            raise
        except Exception as error:  # noqa: BLE001 - a bug in a reader must not affect other tunes
            failures.append(
                _failure(source, f"its reader failed ({type(error).__name__}: {error})")
            )
    return Reading(tuple(songs), tuple(failures))


def reason_in(error: MelodexError) -> str:
    """Return an error's problem as a failure's reason: lower case, without a full stop."""
    return f"{error.problem[:1].lower()}{error.problem[1:].rstrip('.')}"


def _failure(source: Source, reason: str, line: int | None = None) -> Failure:
    return Failure(source.file, source.tune, line if line is not None else source.line, reason)
