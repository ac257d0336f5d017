"""Whether a catalogue is sound."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """Something in a catalogue that is damaged."""

    problem: str  # a sentence
    song: str | None  # the id of the song whose notes are damaged, where it is one
    next_step: str  # what to do, a sentence


@dataclass(frozen=True, slots=True)
class CatalogueCheck:
    """What a check of a catalogue found."""

    sound: bool
    songs: int
    faults: tuple[Fault, ...]
    changed_files: tuple[str, ...]  # differ from what was read; adding them reads them again
    missing_files: tuple[str, ...]  # no longer where they were; their songs stay
