"""The slots of every measure: the places in which a roll may strike."""

from dataclasses import dataclass

from melodex.banjo.fingering_settings import FASTEST_EASY_ROLL, LEARNERS_TEMPO, SECONDS_A_MINUTE
from melodex.errors import MelodyError
from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.parsing.measures import ROUNDING, measures_of

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
    clearance: float  # quarter notes that a filler keeps from any melody note
    full: int  # slots of a full measure of this metre
    metre: Metre
    slots: tuple[Slot, ...]


def slotted_measures(song: Song) -> list[SlottedMeasure]:
    """Lay eighth notes over every measure, sixteenths where a measure has two quarters or fewer.

    Fillers may come within half a slot of a melody note, as after a dotted one, where the tempo
    leaves the fingers time for it.

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
    quickest = (song.tempo or LEARNERS_TEMPO) / SECONDS_A_MINUTE / FASTEST_EASY_ROLL
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
        clearance = length / 2 if length / 2 >= quickest else length
        slotted.append(SlottedMeasure(number, onset, end, length, clearance, full, metre, slots))
    return slotted


def _slot_length(metre: Metre) -> float:
    return 0.25 if metre.measure_length <= _QUARTERS_OF_SHORT_METRES else 0.5
