"""The errors that melodex raises; each says what is wrong and what to do next."""

from collections.abc import Sequence
from pathlib import Path

LONGEST_SHOWN = 60  # characters of a value in a message
LARGEST_SHOWN = 10**15  # an integer; Python refuses to write out one of thousands of digits


def shown(value: object) -> str:
    """Return a value as Python writes it, for a message; a long one is cut.

    Examples
    --------
    >>> shown("weir"), shown(10**5000)
    ("'weir'", 'a very large number')
    """
    if isinstance(value, int) and abs(value) > LARGEST_SHOWN:
        return "a very large number"
    text = repr(value)
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."


class MelodexError(Exception):
    """A problem that the user can understand and correct.

    Parameters
    ----------
    problem : str
        One sentence: what is wrong, and where.
    next_step : str
        One sentence: what to do now.
    """

    exit_code = 1

    def __init__(self, problem: str, next_step: str) -> None:
        super().__init__(problem)
        self.problem = problem
        self.next_step = next_step

    def __str__(self) -> str:
        return f"{self.problem}\nNext: {self.next_step}"

    def __reduce__(self) -> tuple[object, ...]:
        """Pickle by state, so that an error crosses a process pool whatever its arguments."""
        return _restore_error, (type(self), self.__dict__)


def _restore_error(kind: type[MelodexError], state: dict[str, object]) -> MelodexError:
    error = kind.__new__(kind)
    error.__dict__.update(state)
    return error


class MelodyError(MelodexError):
    """Notes that do not form a single melody line."""


class MetreError(MelodexError):
    """A metre that is not valid."""


class ScoreParseError(MelodexError):
    """A tune in a file that cannot be read.

    Parameters
    ----------
    path : Path
        The file as the user named it.
    reason : str
        What is wrong, without the file's name, lower case, no full stop.
    tune : str
        The tune's number or title within the file; empty for the whole file.
    line : int or None
        The line in the file, counted from 1, where known.
    next_step : str
        What to do now.
    """

    def __init__(
        self,
        path: Path,
        *,
        reason: str,
        tune: str = "",
        line: int | None = None,
        next_step: str = "correct that place and add the file again; the other tunes are in.",
    ) -> None:
        where = f"tune {tune} of {path}" if tune else str(path)
        at_line = f" (line {line})" if line is not None else ""
        super().__init__(f"Cannot read {where}{at_line}: {reason}.", next_step)
        self.path, self.reason, self.tune, self.line = path, reason, tune, line


class CatalogueError(MelodexError):
    """A catalogue file that cannot be opened, read or written."""


class ReadOnlyError(CatalogueError):
    """A catalogue that may only be read."""


class DescriptionError(MelodexError):
    """A CSV of facts about songs or students that cannot be used."""


class SongNotFoundError(MelodexError):
    """No song, or more than one, has this name.

    Parameters
    ----------
    problem, next_step : str
        As for every error.
    name : str
        As it was given.
    songs : sequence of str
        The ids of those that may be meant, all or the nearest; ``problem`` ends with them.
    beginning : str
        The problem without them.
    """

    def __init__(
        self,
        problem: str,
        next_step: str,
        *,
        name: str = "",
        songs: Sequence[str] = (),
        beginning: str = "",
    ) -> None:
        super().__init__(problem, next_step)
        self.name, self.songs = name, tuple(songs)
        self.beginning = beginning or problem


class LickNotFoundError(MelodexError):
    """No kept or listed lick has this name."""


class WorkNotFoundError(MelodexError):
    """No saved plan, student or set has this address or name."""


class UnknownValueError(MelodexError):
    """A filter names a collection, tag, metre, level or word that no song has."""


class PlanError(MelodexError):
    """A lesson plan that cannot be made or read."""


class AuditError(MelodexError):
    """An audit that cannot be made or drawn."""


class QueryError(MelodexError):
    """A lick, filter or setting that cannot be understood; a mistake on the command line."""

    exit_code = 2
