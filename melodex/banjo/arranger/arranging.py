"""A plain melody as an arrangement for five strings, from the melody alone to rolls throughout.

Every melody note sounds where it stands. What fills the slots between, and both hands, are chosen
together at least cost (``stroke_search``).
"""

from collections.abc import Sequence
from dataclasses import replace

from melodex.banjo.arranger.arranging_remarks import without_room
from melodex.banjo.arranger.arranging_stages import (
    FULL,
    MELODY,
    PINCHES,
    ROLL,
    ROUND_ROLLS,
    moments_of_stage,
    plans_of,
)
from melodex.banjo.arranger.fills import lick_strokes
from melodex.banjo.arranger.melody_places import AT_THE_NUT
from melodex.banjo.arranger.opening_roll import with_opening
from melodex.banjo.arranger.position_choice import in_best_position
from melodex.banjo.arranger.roll_slots import slotted_measures
from melodex.banjo.arranger.stroke_moments import StrokeMoment, stroke_moments
from melodex.banjo.arranger.stroke_search import cheapest
from melodex.banjo.arranger.strokes import Stroke
from melodex.banjo.fretboard import FretPlace
from melodex.banjo.moments import moments_of
from melodex.banjo.plain_melody import melody_of_rolls
from melodex.banjo.sounded_song import sounded_song
from melodex.features.chords import chords_of
from melodex.model.song import ChordSymbol, Song
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import OPEN_G, UP_THE_NECK

_TITLES = {
    MELODY: "melody",
    PINCHES: "melody with pinches",
    ROLL: "arranged in one roll",
    FULL: "arranged",
}
_SLIDES_FROM = 2  # the fret from which a step of two frets up is slid, not hammered
_FRETS_OF_A_SLIDE = 2


def arrange(
    song: Song,
    *,
    roll: str | None = None,
    stage: str = FULL,
    simple: bool = False,
    up_the_neck: bool = False,
) -> Tab:
    """Arrange a melody for five strings, in open G.

    Parameters
    ----------
    roll : str or None
        One of ``ROLLS``, for all measures; None: in every measure the one that suits it, or, in
        the stage "roll", one for all that suits the tune.
    stage : str
        One of ``STAGES``.
    simple : bool
        Without hammer-ons, pull-offs and slides.
    up_the_neck : bool
        From the seventh fret up, with the drone as the only open string.

    Returns
    -------
    Tab
        Its song has the notes of the arrangement; its remarks say if the key was moved.

    Raises
    ------
    MelodyError
        If the song has no metre, or does not lie on the neck.
    """
    lowest = UP_THE_NECK if up_the_neck else AT_THE_NUT
    is_free = stage == FULL and roll is None
    moved, remarks = _prepared(song, lowest, is_led_into=is_free)
    measures = slotted_measures(moved)
    moments = moments_of_stage(stroke_moments(moved, measures, moved.chords), measures, stage, roll)
    licks: Sequence[Sequence[Stroke]] = [[] for _ in moments]
    if is_free and not up_the_neck:
        licks = lick_strokes(moments, measures, slurs=not simple)
    plans = [
        plans_of(stage, kind, measures, moments, slurs=not simple)
        for kind in (ROUND_ROLLS if stage == ROLL and roll is None else (roll,))
    ]
    found = min(
        (cheapest(moments, plan, licks, lowest) for plan in plans), key=lambda each: each.cost
    )
    if roll is not None:
        remarks += without_room(roll, measures, moments)
    notes = _notes(moments, found.strokes, measures[-1].end)
    title = f"{song.title} ({_form(stage, simple=simple, up_the_neck=up_the_neck)})"
    sounded = sounded_song(replace(moved, title=title), notes, OPEN_G)
    return Tab(sounded, OPEN_G, tuple(notes), (*song.remarks, *remarks))


def _prepared(song: Song, lowest: int, *, is_led_into: bool) -> tuple[Song, list[str]]:
    """Return a song's melody in open G, with its chords, and what was done to it."""
    plain, remarks = melody_of_rolls(song)
    moved, moves = in_best_position(plain, lowest)
    moments_of(moved, OPEN_G)  # raises if a note lies off the neck
    chords, are_estimated = chords_of(moved)
    remarks += moves
    if are_estimated:
        chords = _changes(chords)
        remarks.append("The chords are estimated from the melody; the source names none.")
    moved = replace(moved, chords=chords)
    if not is_led_into:
        return moved, remarks
    opened, done = with_opening(moved, slotted_measures(moved)[0])
    return opened, [*remarks, *done]


def _form(stage: str, *, simple: bool, up_the_neck: bool) -> str:
    simply = " simply" if simple and stage == FULL else ""
    return f"{_TITLES[stage]}{simply}{' up the neck' if up_the_neck else ''}"


def _changes(chords: Sequence[ChordSymbol]) -> tuple[ChordSymbol, ...]:
    """Leave out the chords that only repeat the one before."""
    before = [None, *(chord.text for chord in chords)]
    return tuple(chord for chord, text in zip(chords, before, strict=False) if chord.text != text)


def _notes(moments: Sequence[StrokeMoment], strokes: Sequence[Stroke], end: float) -> list[TabNote]:
    sounding = [(m, s) for m, s in zip(moments, strokes, strict=True) if s.places]
    ends = [*(moment.onset for moment, _ in sounding[1:]), end]
    notes: list[TabNote] = []
    before: FretPlace | None = None
    for (moment, stroke), until in zip(sounding, ends, strict=True):
        left_hand = "" if stroke.fingers or before is None else _slur(before, stroke.places[0])
        letters = stroke.fingers or " "
        melody = stroke.places[0] if moment.pitch is not None else None
        notes += (
            TabNote(
                moment.onset,
                until - moment.onset,
                *place,
                left_hand,
                finger.strip(),
                is_melody=place == melody,
            )
            for place, finger in sorted(zip(stroke.places, letters, strict=True))
        )
        before = stroke.places[0]
    return notes


def _slur(before: FretPlace, after: FretPlace) -> str:
    if after.fret < before.fret:
        return "pull-off"
    frets = after.fret - before.fret
    return "slide" if before.fret >= _SLIDES_FROM and frets == _FRETS_OF_A_SLIDE else "hammer-on"
