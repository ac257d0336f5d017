"""A song without strings as tab: fingered, with a caution where a beginner's hand would strain."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from melodex.banjo.fingering import fingering
from melodex.banjo.fingering_settings import (
    DOWN_THE_NECK,
    FARTHEST_FAST_SHIFT,
    FAST,
    FingeringCosts,
)
from melodex.banjo.hands import Hands, stretches
from melodex.banjo.moments import Moment, lies_an_octave_lower, moments_of
from melodex.features.written_tab import GRACE_NOTES_LEFT_OUT
from melodex.model.song import Song
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import OPEN_G, BanjoTuning

CAUTION = "Never play on through pain: move the hand instead, slow down, or leave a note out."


def fingered_tab(
    song: Song,
    tuning: BanjoTuning = OPEN_G,
    costs: FingeringCosts = DOWN_THE_NECK,
    *,
    octaves: int = 0,
    measures: tuple[int, int] | None = None,
) -> Tab:
    """Choose strings, frets and fingers for a song.

    Parameters
    ----------
    octaves : int
        Octaves to move the song by, so that it comes to lie on the neck.
    measures : (int, int) or None
        First and last that the tab is to have notes in, as written; None for all.

    Raises
    ------
    MelodyError
        If a note lies outside the neck, or no hand reaches notes together; it names the measure.
    """
    moments = moments_of(song, tuning, octaves=octaves, measures=measures)
    chosen = fingering(moments, tuning, costs)
    remarks = [*song.remarks, "Strings and frets are computed; the source names none."]
    if octaves:
        remarks.append(
            f"Moved by {octaves:+d} octave{'s'[: abs(octaves) > 1]} from what is written."
        )
    if lies_an_octave_lower(moments, tuning):
        remarks.append(f"It also fits an octave lower, nearer the nut (octaves: {octaves - 1:+d}).")
    if len(song.melody.grace_notes.notes):
        remarks.append(GRACE_NOTES_LEFT_OUT)
    remarks += strain(moments, chosen)
    notes = [
        note
        for moment, hands in zip(moments, chosen, strict=True)
        for note in _notes(moment, hands)
    ]
    return Tab(song, tuning, tuple(notes), tuple(remarks))


def _notes(moment: Moment, hands: Hands) -> list[TabNote]:
    fingers = hands.fingers or " " * len(hands.places)
    return sorted(
        (
            TabNote(
                moment.onset,
                moment.duration,
                place.string,
                place.fret,
                moment.left_hand,
                finger.strip(),
            )
            for place, finger in zip(hands.places, fingers, strict=True)
        ),
        key=lambda note: note.string,
    )


def strain(moments: Sequence[Moment], chosen: Sequence[Hands]) -> list[str]:
    """Name the measures where the left hand spans five frets, or leaps within a fast note."""
    stretched = [
        moment.measure for moment, hands in zip(moments, chosen, strict=True) if stretches(hands)
    ]
    leaps = [
        moment.measure
        for (earlier, moment), (before, after) in zip(
            pairwise(moments), pairwise(chosen), strict=True
        )
        if moment.onset - earlier.onset <= FAST
        and abs(after.position - before.position) > FARTHEST_FAST_SHIFT
    ]
    remarks: list[str] = []
    if stretched:
        remarks.append(f"The left hand stretches over five frets in {_listed(stretched)}.")
    if leaps:
        remarks.append(f"The left hand leaps within a fast note in {_listed(leaps)}.")
    return [*remarks, CAUTION] if remarks else []


def _listed(measures: Iterable[int]) -> str:
    names = [str(measure) for measure in dict.fromkeys(measures)]
    return f"measure{'s'[: len(names) > 1]} {', '.join(names)}"
