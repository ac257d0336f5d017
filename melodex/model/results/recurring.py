"""Licks that recur: what comes back in several songs, and where."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LickOccurrence:
    """One place of a recurring lick; measures as written."""

    song: str
    title: str
    first_measure: int
    last_measure: int  # smaller than the first where a repeat lies between
    first_beat: float | None  # of the first measure, where its first note begins; 1 the downbeat,
    last_beat: float | None  # of the last one, where its last note begins; None in free metre
    measures: tuple[int, ...]  # in the order played
    note_runs: tuple[tuple[int, int], ...]  # its first and last note, as written; two at a repeat
    transposition: int  # half-steps from the representative form up to this place
    form: str  # "as written", "doubled", "inside a roll", ...
    chords: tuple[str, ...]  # in order
    chords_estimated: bool  # from the melody, where the song states none


@dataclass(frozen=True, slots=True)
class RecurringLick:
    """A lick that several tunes share, in the form of one of its places."""

    lick: str  # an id made of that place: "old-mill-m5-6"
    name: str  # the one that it is kept under, else made of that place: "Old Mill, measures 5-6"
    degrees: tuple[str, ...]  # in the key of that song
    notes: tuple[str, ...]  # "C4" is middle C
    rhythm: tuple[str, ...]  # from each note to the next: "q", "e.", "1/3" for a triplet's eighth
    measures: int  # that it touches
    first_measure: int  # of that place, as written
    first_beat: float | None  # as in ``LickOccurrence``
    last_measure: int
    last_beat: float | None
    chords: tuple[str, ...]  # that it is played over there, in order
    chords_estimated: bool
    key: str  # of the song, "G major"; one that is not stated is estimated
    surprise: float  # bits; how unexpected, times in how many tunes
    tunes: int  # versions of one count once
    songs: int
    occurrences: tuple[LickOccurrence, ...]  # by song, in the order played
    tab: str | None = None  # five lines and a count; None where it was not asked for, or is too low


@dataclass(frozen=True, slots=True)
class KeptLick:
    """A lick that is kept under a name."""

    name: str
    notes: tuple[str, ...]
    came_from: str
