"""Stages of an arrangement, each playable by itself: what may fill the measures in each."""

from collections.abc import Sequence
from dataclasses import replace

from melodex.banjo.arranger.roll_patterns import REST, ROLLS, RollPattern, patterns_of
from melodex.banjo.arranger.roll_slots import SlottedMeasure
from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.arranger.stroke_moments import StrokeMoment
from melodex.banjo.arranger.stroke_search import MeasurePlan
from melodex.errors import QueryError
from melodex.features.playing.rolls import NO_ROLL, NOTES_IN_A_ROLL, PINCH

MELODY, PINCHES, ROLL, FULL = "melody", "pinches", "roll", "full"
STAGES = (MELODY, PINCHES, ROLL, FULL)
ROUND_ROLLS = tuple(roll for roll in ROLLS if roll != PINCH)
# Maximum of melody notes in a measure of eight slots that leaves room for a named roll.
MOST_IN_A_ROLL = 3
FEWEST_BEFORE_THE_PINCH = 2  # slots from the last melody note to the final pinch
_SLOTS_OF_A_SLOW_NOTE = 2  # slots that melody notes must last to be pinched
_EIGHTH = 8  # denominator of a metre
_NO_PATTERN = (RollPattern(NO_ROLL, (REST,), index_on_third=False),)


def stage_named(name: str, roll: str | None) -> str:
    """Return the canonical name of a stage.

    Raises
    ------
    QueryError
        If there is no such stage, or a roll is given for a stage without rolls.
    """
    wanted = name.strip().casefold()
    if wanted not in STAGES:
        raise QueryError(f"There is no stage called '{name}'.", f"use one of {', '.join(STAGES)}.")
    if roll is not None and wanted in {MELODY, PINCHES}:
        raise QueryError(
            f"The stage '{wanted}' has no roll.", f"leave the roll out, or use {ROLL} or {FULL}."
        )
    return wanted


def moments_of_stage(
    moments: Sequence[StrokeMoment],
    measures: Sequence[SlottedMeasure],
    stage: str,
    roll: str | None,
) -> list[StrokeMoment]:
    """Drop the slots that a stage does not fill.

    The full form ends with a pinch, unless a roll is named, which then continues to the end.
    """
    if stage == MELODY:
        return [moment for moment in moments if moment.pitch is not None]
    return _closed(moments, measures[-1]) if stage == FULL and roll is None else list(moments)


def _closed(moments: Sequence[StrokeMoment], last: SlottedMeasure) -> list[StrokeMoment]:
    """End with a pinch on the last beat of a long last note, followed by a rest.

    Common practice, no source.
    """
    after = max((p for p, moment in enumerate(moments) if moment.pitch is not None), default=0)
    slots_of_a_beat = (
        3 if last.metre.numerator % 3 == 0 and last.metre.denominator == _EIGHTH else 2
    )
    beats = [
        place
        for place in range(after + FEWEST_BEFORE_THE_PINCH, len(moments))
        if (moments[place].place or 0) % slots_of_a_beat == 0
    ]
    if not beats:
        return list(moments)
    return [*moments[: beats[-1]], replace(moments[beats[-1]], is_last_pinch=True)]


def plans_of(
    stage: str,
    roll: str | None,
    measures: Sequence[SlottedMeasure],
    moments: Sequence[StrokeMoment],
    *,
    slurs: bool,
) -> list[MeasurePlan]:
    """Return what may fill each measure.

    Parameters
    ----------
    roll : str or None
        The roll throughout; None chooses the best one for every measure.
    slurs : bool
        Whether the last stage has hammer-ons, pull-offs and slides.
    """
    notes = [0] * len(measures)
    for moment in moments:
        notes[moment.measure] += moment.pitch is not None
    return [
        _plan(stage, roll, measure, count, slurs=slurs)
        for measure, count in zip(measures, notes, strict=True)
    ]


def _plan(
    stage: str, roll: str | None, measure: SlottedMeasure, notes: int, *, slurs: bool
) -> MeasurePlan:
    if stage == MELODY:
        return MeasurePlan(_NO_PATTERN, 0.0, pinches=False, pairs=False, slurs=False)
    named = PINCH if stage == PINCHES else roll
    rolls = ROUND_ROLLS if named is None else (named,)
    has_room = notes * NOTES_IN_A_ROLL <= MOST_IN_A_ROLL * measure.full
    is_heard = stage == FULL and named is not None and has_room
    pinches = is_heard or (stage == PINCHES and _is_slow_and_even(measure, notes))
    patterns = [
        pattern
        for kind in rolls
        for pattern in patterns_of(kind, measure.metre, measure.full)
        if is_heard or not pattern.index_on_third
    ]
    return MeasurePlan(
        tuple(patterns),
        ARRANGING.off_the_named_roll if is_heard else ARRANGING.off_the_roll,
        pinches=pinches,
        pairs=named == PINCH,
        slurs=slurs and stage == FULL,
        stopped_filler=0.0 if stage == FULL else ARRANGING.stopped_filler_of_a_stage,
    )


def _is_slow_and_even(measure: SlottedMeasure, notes: int) -> bool:
    """Return whether pinches on the weak beats would alternate with other notes; not in waltzes."""
    return measure.full % 3 != 0 and notes * _SLOTS_OF_A_SLOW_NOTE <= measure.full
