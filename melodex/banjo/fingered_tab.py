"""Write a song without strings as fingered tab, with cautions for a beginner's hands."""

from collections.abc import Sequence

from melodex.banjo.cautions import with_cautions
from melodex.banjo.fingering import fingering
from melodex.banjo.fingering_settings import (
    DOWN_THE_NECK,
    FingeringCosts,
)
from melodex.banjo.hands import Hands
from melodex.banjo.moments import Moment, moments_of
from melodex.banjo.octave_choice import NEAR_THE_NUT, highest_fret_needed, octave_for
from melodex.features.written_tab import GRACE_NOTES_LEFT_OUT
from melodex.model.song import Song
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import HIGHEST_FRET, OPEN_G, BanjoTuning


def fingered_tab(
    song: Song,
    tuning: BanjoTuning = OPEN_G,
    costs: FingeringCosts = DOWN_THE_NECK,
    *,
    octaves: int | None = None,
    measures: tuple[int, int] | None = None,
) -> Tab:
    """Return a tab with strings, frets and fingers chosen for a song.

    Parameters
    ----------
    octaves : int or None
        Octaves to transpose the song by; None chooses those that bring it nearest to the nut
        (``octave_for``).
    measures : (int, int) or None
        First and last measure to write notes for, as written; None for all.

    Raises
    ------
    MelodyError
        If a note is off the neck, or simultaneous notes cannot be reached; the message names the
        measure.
    """
    moved = octave_for(song, tuning, measures) if octaves is None else octaves
    moments = moments_of(song, tuning, octaves=moved, measures=measures)
    chosen = fingering(moments, tuning, costs, highest_fret=_highest_fret(moments, tuning, costs))
    remarks = [
        *song.remarks,
        f"Strings, frets and fingers are computed; {_octaves_in_words(moved)}.",
    ]
    if len(song.melody.grace_notes.notes):
        remarks.append(GRACE_NOTES_LEFT_OUT)
    notes = [
        note
        for moment, hands in zip(moments, chosen, strict=True)
        for note in _notes(moment, hands)
    ]
    return with_cautions(Tab(song, tuning, tuple(notes), tuple(remarks), octaves=moved))


def _highest_fret(moments: Sequence[Moment], tuning: BanjoTuning, costs: FingeringCosts) -> int:
    """Return the highest fret allowed: near the nut only as high as needed, else the whole neck."""
    if costs.aim > NEAR_THE_NUT:
        return HIGHEST_FRET
    return max(highest_fret_needed(moments, tuning), NEAR_THE_NUT)


def _octaves_in_words(octaves: int) -> str:
    if not octaves:
        return "it is in the octave that it is written in"
    way = "above" if octaves > 0 else "below"
    return f"it is {abs(octaves)} octave{'s'[: abs(octaves) > 1]} {way} what is written"


def _notes(moment: Moment, hands: Hands) -> list[TabNote]:
    fingers = hands.fingers or " " * len(hands.places)
    return sorted(
        (
            TabNote(
                moment.onset,
                moment.duration,
                place.string,
                place.fret,
                left_hand,
                finger.strip(),
            )
            for place, finger, left_hand in zip(
                hands.places, fingers, moment.left_hands or ("",) * len(hands.places), strict=True
            )
        ),
        key=lambda note: note.string,
    )
