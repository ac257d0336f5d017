"""Recurring licks: passages found in several songs, and their places."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LickOccurrence:
    """One place of a recurring lick; measures as written."""

    song: str
    title: str
    first_measure: int
    last_measure: int  # smaller than the first if there is a repeat in between
    first_beat: float | None  # beat in the first measure of its first note; 1 is the downbeat;
    last_beat: float | None  # beat in the last measure of its last note; None in free metre
    measures: tuple[int, ...]  # in the order played
    note_runs: tuple[tuple[int, int], ...]  # first and last note, as written; two at a repeat
    transposition: int  # half-steps from the representative form to this place; up is positive
    form: str  # "as written", "doubled", "inside a roll", ...
    chords: tuple[str, ...]  # in order
    chords_estimated: bool  # estimated from the melody, because the song has none


@dataclass(frozen=True, slots=True)
class RecurringLick:
    """A lick shared by several tunes, in the form of one of its places."""

    lick: str  # an id made from that place: "old-mill-m5-6"
    name: str  # the name it is kept under, else made from that place: "Old Mill, measures 5-6"
    degrees: tuple[str, ...]  # in the key of that song
    notes: tuple[str, ...]  # "C4" is middle C
    rhythm: tuple[str, ...]  # from each note to the next: "q", "e.", "1/3" for a triplet's eighth
    measures: int  # number of measures that it spans
    first_measure: int  # of that place, as written
    first_beat: float | None  # as in ``LickOccurrence``
    last_measure: int
    last_beat: float | None
    chords: tuple[str, ...]  # chords during that place, in order
    chords_estimated: bool
    key: str  # of the song, "G major"; estimated if not stated
    surprise: float  # bits: how unexpected it is, times the number of tunes
    tunes: int  # versions of a tune count once
    songs: int
    occurrences: tuple[LickOccurrence, ...]  # by song, in the order played
    tab: str | None = None  # five lines and a count; None if not requested, or too low


@dataclass(frozen=True, slots=True)
class KeptLick:
    """A lick kept under a name."""

    name: str
    notes: tuple[str, ...]
    came_from: str
