"""Lines of a student's file that record lessons: `taught 2027-01-11: Weir in Spate`."""

import re
from datetime import date
from typing import NamedTuple

# A line that begins like this is a record, not the title of a song.
BEGINNING = re.compile(r"\s*\"?taught \d", re.IGNORECASE)
# A spreadsheet may have added quotes around it, or delimiters after it.
_WHOLE = re.compile(
    r"\"?taught (?P<day>\d{4}-\d\d-\d\d)(?: to (?P<student>[^:]+?))?(?P<lick> lick)?:\s*"
    r"(?P<name>.+?)(?:, up to measure (?P<up_to>\d+))?[\",;\t ]*",
    re.IGNORECASE,
)
HOW_TO = "taught 2027-01-11: TITLE"


class TaughtLine(NamedTuple):
    """What one student was taught on a day."""

    day: date
    student: str  # "" if the file names nobody
    name: str  # a song's id or title, or a lick's name
    is_lick: bool = False
    up_to: int | None = None  # the last measure of the song; None: all of it

    def __str__(self) -> str:
        """Return the line as text.

        Examples
        --------
        >>> str(TaughtLine(date(2027, 1, 11), "Ann", "Unlatched", up_to=8))
        'taught 2027-01-11 to Ann: Unlatched, up to measure 8'
        """
        to = f" to {self.student}" if self.student else ""
        end = "" if self.up_to is None else f", up to measure {self.up_to}"
        return f"taught {self.day}{to}{' lick' * self.is_lick}: {self.name}{end}"


def read_taught(line: str) -> TaughtLine | None:
    """Parse a line that matches ``BEGINNING``; None if it is not valid.

    Examples
    --------
    >>> read_taught("taught 2027-01-11 lick: first fill").name
    'first fill'
    """
    found = _WHOLE.fullmatch(line.strip())
    if found is None:
        return None
    try:
        day = date.fromisoformat(found["day"])
    except ValueError:  # no such day
        return None
    up_to = None if found["up_to"] is None else int(found["up_to"])
    is_lick = found["lick"] is not None
    if is_lick and up_to is not None:
        return None
    return TaughtLine(day, (found["student"] or "").strip(), found["name"], is_lick, up_to)
