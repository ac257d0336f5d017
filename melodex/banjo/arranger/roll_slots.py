"""The slots of every measure: the positions where a roll may strike."""

from dataclasses import dataclass

from melodex.banjo.fingering_settings import FASTEST_EASY_ROLL, LEARNERS_TEMPO, SECONDS_A_MINUTE
from melodex.errors import MelodyError
from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.parsing.measures import ROUNDING, measure_list_of

_QUARTERS_OF_SHORT_METRES = 2  # in shorter measures slots are sixteenths


@dataclass(frozen=True, slots=True)
class Slot:
    """One position of a roll."""

    onset: float  # quarter notes from the start of the music
    place: int  # in a full measure, from 0


@dataclass(frozen=True, slots=True)
class SlottedMeasure:
    """A measure and the slots of its roll."""

    number: int
    onset: float
    end: float
    slot_length: float  # quarter notes
    clearance: float  # minimum distance of a filler from any melody note, in quarter notes
    full: int  # slots in a full measure of this metre
    metre: Metre
    slots: tuple[Slot, ...]


def slotted_measures(song: Song) -> list[SlottedMeasure]:
    """Return the slots of every measure: eighths, or sixteenths in measures up to two quarters.

    Fillers may come within half a slot of a melody note, for instance after a dotted one, if the
    tempo leaves the fingers time for it.

    Raises
    ------
    MelodyError
        If the song has no metre.
    """
    measures = measure_list_of(song)
    if any(metre.is_free for metre in measures.metres):
        raise MelodyError(
            f"{song.title} has no metre, so no roll fits its measures.",
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
