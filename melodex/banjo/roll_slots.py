"""The places of a roll's notes in each measure, and the strings that each roll strikes there."""

from dataclasses import dataclass

from melodex.errors import MelodyError, QueryError
from melodex.features.rolls import ALTERNATING_THUMB, BACKWARD, FORWARD, FORWARD_REVERSE, PINCH
from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.parsing.measures import ROUNDING, measures_of

# The strings of eight slots; an empty slot rests. Common practice, no source.
ROLL_STRINGS: dict[str, tuple[tuple[int, ...], ...]] = {
    FORWARD_REVERSE: ((3,), (2,), (1,), (5,), (1,), (2,), (3,), (1,)),
    ALTERNATING_THUMB: ((3,), (2,), (5,), (1,), (4,), (2,), (5,), (1,)),
    FORWARD: ((3,), (2,), (1,), (5,), (2,), (1,), (5,), (1,)),
    BACKWARD: ((1,), (2,), (5,), (1,), (2,), (5,), (1,), (2,)),
    PINCH: ((3,), (), (1, 5), (), (3,), (), (1, 5), ()),
}
_QUARTERS_OF_SHORT_METRES = 2  # a measure no longer than this is filled with sixteenths


@dataclass(frozen=True, slots=True)
class Slot:
    """One place of a roll."""

    onset: float  # quarter notes from the start of the music
    place: int  # in a full measure, from 0


@dataclass(frozen=True, slots=True)
class SlottedMeasure:
    """A measure and the places for its roll."""

    number: int
    onset: float
    end: float
    slot_length: float  # quarter notes
    slots: tuple[Slot, ...]


def roll_named(name: str) -> str:
    """Return a roll's own name.

    Raises
    ------
    QueryError
        If there is no such roll.
    """
    wanted = "-".join(name.casefold().split())
    if wanted not in ROLL_STRINGS:
        raise QueryError(
            f"There is no roll called '{name}'.", f"use one of {', '.join(ROLL_STRINGS)}."
        )
    return wanted


def slotted_measures(song: Song) -> list[SlottedMeasure]:
    """Lay eighth notes over every measure, sixteenths where a measure has two quarters or fewer.

    Raises
    ------
    MelodyError
        If the song has no metre.
    """
    measures = measures_of(song)
    if any(metre.is_free for metre in measures.metres):
        raise MelodyError(
            f"{song.title} has no metre, so no roll can be laid over its measures.",
            "state its metre in the file (M:4/4 in ABC) and add it again.",
        )
    ends = [*measures.onsets[1:], measures.end]
    slotted: list[SlottedMeasure] = []
    for number, onset, end, position, metre in zip(
        measures.numbers, measures.onsets, ends, measures.positions, measures.metres, strict=True
    ):
        length = _slot_length(metre)
        full = round(float(metre.measure_length) / length)
        places = [(onset - position + place * length, place) for place in range(full)]
        slots = tuple(
            Slot(at, place) for at, place in places if onset - ROUNDING < at < end - ROUNDING
        )
        slotted.append(SlottedMeasure(number, onset, end, length, slots))
    return slotted


def _slot_length(metre: Metre) -> float:
    return 0.25 if metre.measure_length <= _QUARTERS_OF_SHORT_METRES else 0.5
