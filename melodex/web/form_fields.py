"""What a browser sends: read field by field, each with its bounds, and made into records."""

import math
from datetime import date
from typing import TYPE_CHECKING

from starlette.datastructures import ImmutableMultiDict, UploadFile
from starlette.requests import Request

from melodex.errors import QueryError
from melodex.finder.collection.filters import song_filter
from melodex.finder.given_lick import LickForm, given_lick
from melodex.model.catalogue import SongFilter
from melodex.model.lick import Lick
from melodex.model.results.lesson import Limits
from melodex.model.tuning import OPEN_G
from melodex.model.weekly_dates import as_date
from melodex.parsing.measure_range import measure_range

if TYPE_CHECKING:
    from melodex.index.store import Catalogue

LONGEST_TEXT = 100_000  # characters of one field; a class's table of students has some thousands
LONGEST_LINE = 2_000  # characters of a field of one line
LONGEST_NUMBER = 6  # digits of a measure's number
# The forms a browser may send a lick in; a path would let any page read files of this machine.
LINE_FORMS = (
    *(LickForm.NOTES, LickForm.ABC, LickForm.DEGREES, LickForm.TAB),
    *(LickForm.KEPT, LickForm.LISTED),
)


class Fields:
    """The fields of a query or form, each read once by its name."""

    def __init__(self, values: ImmutableMultiDict[str, str | UploadFile]) -> None:
        self._values = values

    def texts(self, name: str) -> list[str]:
        """Return every text that a field was given; empty ones are left out.

        Raises
        ------
        QueryError
            If one is too long.
        """
        given = [value for value in self._values.getlist(name) if isinstance(value, str)]
        for value in given:
            if len(value) > LONGEST_TEXT:
                raise QueryError(f"The field '{name}' holds too much.", "shorten it.")
        return [value.strip() for value in given if value.strip()]

    def text(self, name: str) -> str:
        """Return a text of several lines, "" where none is given.

        Raises
        ------
        QueryError
            If it is too long.
        """
        return next(iter(self.texts(name)), "")

    def line(self, name: str) -> str:
        """Return a short text, "" where none is given.

        Raises
        ------
        QueryError
            If it is too long.
        """
        text = self.text(name)
        if len(text) > LONGEST_LINE:
            raise QueryError(f"The field '{name}' holds too much.", "shorten it.")
        return text

    def as_sent(self, *names: str) -> dict[str, str]:
        """Return the texts of fields by their names, to fill a form in again whatever was sent."""
        return {name: next(iter(self.all_as_sent(name)), "") for name in names}

    def all_as_sent(self, name: str) -> list[str]:
        """Return every text that a field was sent with, cut where it holds too much."""
        return [
            value[:LONGEST_TEXT] for value in self._values.getlist(name) if isinstance(value, str)
        ]

    def files(self, name: str) -> list[UploadFile]:
        """Return the files that a field was given."""
        given = self._values.getlist(name)
        return [value for value in given if isinstance(value, UploadFile) and value.filename]

    def amount(self, name: str, *, lowest: float = 0, highest: float = 1e9) -> float | None:
        """Return a number, None where none is given.

        Raises
        ------
        QueryError
            If it is no number, or out of bounds.
        """
        text = self.line(name)
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not lowest <= value <= highest:
            raise QueryError(
                f"'{text}' is not valid for '{name.replace('_', ' ')}'.",
                f"write a number from {lowest:,g} to {highest:,.0f}.",
            )
        return value

    def whole(self, name: str, *, lowest: int = 0, highest: int = 1_000_000) -> int | None:
        """Return a whole number, None where none is given.

        Raises
        ------
        QueryError
            If it is no whole number, or out of bounds.
        """
        value = self.amount(name, lowest=lowest, highest=highest)
        if value is not None and value != int(value):
            raise QueryError(
                f"'{value:g}' is not valid for '{name.replace('_', ' ')}'.", "write a whole number."
            )
        return None if value is None else int(value)


def query_of(request: Request) -> Fields:
    """Return the fields of a page's address."""
    return Fields(request.query_params)


NOTHING_SENT = Fields(ImmutableMultiDict())


def songs_meant(fields: Fields, prefix: str = "") -> SongFilter:
    """Read which songs are meant.

    Parameters
    ----------
    prefix : str
        What the fields' names begin with.

    Raises
    ------
    QueryError
        If the level cannot be understood.
    """
    return song_filter(
        collections=fields.texts(f"{prefix}collection"),
        tags=fields.texts(f"{prefix}tag"),
        metres=fields.texts(f"{prefix}metre"),
        level=fields.line(f"{prefix}level") or None,
        uses=fields.texts(f"{prefix}uses"),
        estimated=bool(fields.line(f"{prefix}level") and fields.line(f"{prefix}estimated")),
    )


def lick_asked(catalogue: "Catalogue", fields: Fields) -> Lick:
    """Read the lick that is looked for: written, named, or some measures of a song.

    Raises
    ------
    MelodexError
        If none is given, or it cannot be understood.
    """
    if song := fields.line("song"):
        return given_lick(catalogue, LickForm.SONG, song, measures=measures_chosen(fields))
    if text := fields.line("text"):
        if fields.line("form") == LickForm.SONG:
            return given_lick(catalogue, LickForm.SONG, text, measures=measures_named(fields))
        return given_lick(
            catalogue,
            form_of_lick(fields),
            text,
            mode=fields.line("mode") or "major",
            tuning=fields.line("tuning") or OPEN_G.name,
        )
    raise QueryError("No lick is given.", "write one, or tick measures on a song's page.")


def form_of_lick(fields: Fields) -> LickForm:
    """Return the form that the lick is written in; note names where none is named.

    Raises
    ------
    QueryError
        If it is not one of LINE_FORMS.
    """
    form = fields.line("form") or LickForm.NOTES
    if form not in LINE_FORMS:
        raise QueryError(
            f"'{form}' is not a form that a lick can be typed in.",
            f"use one of {', '.join(LINE_FORMS)}.",
        )
    return LickForm(form)


def is_number_of_measure(text: str) -> bool:
    """Whether a text can be the number of a measure."""
    return text.isdecimal() and len(text) <= LONGEST_NUMBER


def measures_chosen(fields: Fields) -> tuple[int, int]:
    """Read the first and last of the measures that are ticked.

    Raises
    ------
    QueryError
        If none is, or one is no number.
    """
    ticked = list(filter(is_number_of_measure, fields.texts("measure")))
    if not ticked or len(ticked) < len(fields.texts("measure")):
        raise QueryError(
            "No measures are chosen.", "tick the first and the last measure of the lick."
        )
    numbers = list(map(int, ticked))
    return min(numbers), max(numbers)


def measures_named(fields: Fields) -> tuple[int, int] | None:
    """Read measures that were typed, "5-8"; None where none are.

    Raises
    ------
    QueryError
        If they cannot be understood.
    """
    text = fields.line("measures")
    return measure_range(text) if text else None


def limits_set(fields: Fields) -> Limits:
    """Read what no plan may break; songs as they were typed, one a line.

    Raises
    ------
    QueryError
        If a number or a pair of songs cannot be understood.
    """
    return Limits(
        lessons=fields.whole("lessons", lowest=1),
        level_step=fields.amount("level_step"),
        most_new=fields.amount("most_new"),
        must_come=_lines(fields.text("must_come")),
        must_not_come=_lines(fields.text("must_not_come")),
        before=tuple(_song_pair(line) for line in _lines(fields.text("before"))),
        first=fields.line("first") or None,
        last=fields.line("last") or None,
        review_every=fields.whole("review_every", lowest=2),
        in_turn=_lines(fields.text("in_turn")),
        first_date=_day(fields.line("first_date")),
        skip=tuple(as_date("a week without a lesson", day) for day in fields.text("skip").split()),
    )


def _day(text: str) -> date | None:
    return as_date("the first lesson", text) if text else None


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def _song_pair(line: str) -> tuple[str, str]:
    one, arrow, other = line.partition(">")
    if not (arrow and one.strip() and other.strip()):
        raise QueryError(f"'{line}' names no two songs.", "write EARLIER > LATER, a pair a line.")
    return one.strip(), other.strip()
