"""Lesson plans and known measures in a teacher's words."""

from collections.abc import Mapping, Sequence
from itertools import groupby
from math import ceil, floor
from types import MappingProxyType
from typing import NamedTuple

from melodex.model.results.known import KnownFrom, KnownMaterial, KnownMeasure, NextStep
from melodex.model.results.lesson import (
    KNOWN_AIM,
    LAST_AIM,
    PEAK_AIM,
    LessonPlan,
    Reason,
    Review,
    Span,
    Stage,
    whole_percent,
)
from melodex.model.weekly_dates import date_in_words

TIME_IN_WORDS = (
    "Material is counted by the time that it takes, in quarter notes; new material that a song "
    "repeats counts once."
)
A_LITTLE = 1e-3  # of a beat; places are rounded
IDS: Mapping[str, str] = MappingProxyType({})  # no labels: songs are named by their ids


def spans_in_words(spans: Sequence[Span]) -> str:
    """Name stretches of measures.

    Examples
    --------
    >>> spans_in_words([(3, 3)]), spans_in_words([(1, 4), (9, 9)])
    ('measure 3', 'measures 1-4, 9')
    """
    listed = ", ".join(f"{first}-{last}" if last > first else f"{first}" for first, last in spans)
    one = len(spans) == 1 and spans[0][0] == spans[0][1]
    return f"{'measure' if one else 'measures'} {listed}"


def reason_in_words(reason: Reason, labels: Mapping[str, str] = IDS) -> str:
    """Describe what some measures of a song are to the student.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id; the id where one is missing.

    Examples
    --------
    >>> reason_in_words(Reason("lick 3", "back", ((5, 6),), 2, "cinder-path", ((1, 2),)))
    'measures 5-6 (the lick "lick 3") come back from lesson 2 (cinder-path, measures 1-2)'
    >>> reason_in_words(Reason(None, "new", ((1, 4),)))
    'measures 1-4 are new'
    """
    here = spans_in_words(reason.measures)
    one = here.startswith("measure ")
    what = here if reason.lick is None else f'{here} (the lick "{reason.lick}")'
    from_song = labels.get(reason.from_song or "", reason.from_song)
    there = f"({from_song}, {spans_in_words(reason.from_measures)})"
    if reason.from_lesson is not None:
        return f"{what} {'comes' if one else 'come'} back from lesson {reason.from_lesson} {there}"
    if reason.state == "back":
        return f"{what} {'comes' if one else 'come'} back in short passages"
    if reason.state == "new":
        return f"{what} {'is' if one else 'are'} new"
    known = f"{what} {'is' if one else 'are'} known before the first lesson"
    return f"{known} {there}" if reason.from_song is not None else known


def stage_in_words(stage: Stage) -> str:
    """Describe what came of one aim, and what no plan can exceed.

    Examples
    --------
    >>> stage_in_words(Stage(KNOWN_AIM, 0.66, 0.75))
    'on average 66 % of each song is known already; no plan can reach more than 75 %'
    """
    if stage.aim == PEAK_AIM:
        reached = f"no lesson has more than {quarter_notes(stage.value)} of new material"
        best = "do with less" if stage.optimal else f"stay below {quarter_notes(stage.bound)}"
        return f"{reached}; no plan as good so far can {best}"
    reached, rivals = {
        KNOWN_AIM: ("is known already", "no plan"),
        LAST_AIM: ("was in the lesson just before", "no plan as good so far"),
    }[stage.aim]
    value, bound = whole_percent(stage.value), whole_percent(stage.bound)
    return f"on average {value} % of each song {reached}; {rivals} can reach more than {bound} %"


def quarter_notes(time: float) -> str:
    """Write a time in quarter notes.

    Examples
    --------
    >>> quarter_notes(1.0), quarter_notes(12.5)
    ('1 quarter note', '12.5 quarter notes')
    """
    return f"{time:.4g} quarter note{'s'[: time != 1]}"


def plan_in_words(plan: LessonPlan, labels: Mapping[str, str]) -> list[str]:
    """Describe, lesson by lesson, why a song is there, then how good the plan is; one text a line.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id.
    """
    lines: list[str] = []
    reviews = {review.lesson: review for review in plan.reviews}
    for lesson in plan.lessons:
        known = percent_in_words(lesson.share)
        day = "" if lesson.date is None else f", {date_in_words(lesson.date)}"
        lines.append(f"{lesson.lesson}. {labels[lesson.song]}{day}: {known} known already")
        lines += [f"   {reason_in_words(reason, labels)}" for reason in lesson.because]
        if review := reviews.get(lesson.lesson + 1):
            lines.append(review_in_words(review, labels))
    lines += ["", TIME_IN_WORDS]
    for sentence in map(stage_in_words, plan.stages):
        lines.append(f"{sentence[0].upper()}{sentence[1:]}.")
    lines += [f"Broken: {limit}." for limit in plan.broken]
    estimated = sum(lesson.suggested_level is not None for lesson in plan.lessons)
    if estimated and plan.limits.level_step is not None:
        lines.append(
            f"{estimated} of the {len(plan.lessons)} levels are estimated: none was given. "
            "melodex songs --json says why."
        )
    return lines


def review_in_words(review: Review, labels: Mapping[str, str] = IDS) -> str:
    """Describe what a review lesson goes over again.

    Examples
    --------
    >>> review_in_words(Review(3, ("gate", "mill")))
    '3. Review: gate, mill'
    """
    songs = ", ".join(labels.get(song, song) for song in review.songs)
    day = "" if review.date is None else f", {date_in_words(review.date)}"
    return f"{review.lesson}. Review{day}: {songs}"


def percent_in_words(share: float | None) -> str:
    """Return a share from 0 to 1 in percent; nearly 0 and nearly 1 stay distinct from both.

    Examples
    --------
    >>> percent_in_words(0.375), percent_in_words(0.999), percent_in_words(None)
    ('38 %', '99 %', 'unknown')
    """
    if share is None:
        return "unknown"
    percent = round(100 * share)
    if 0 < share < 1:
        percent = min(max(percent, 1), 99)
    return f"{percent} %"


def share_in_words(known: KnownMaterial) -> list[str]:
    """Describe how much of a song one student, or each of a class, knows; one text a line."""
    share = f"{known.title}: {percent_in_words(known.share)} of its music can be played already"
    if len(known.students) == 1:
        return [f"{share}."]
    lines = [f"{share} by all."]
    for student in known.students:
        lacks = spans_in_words(student.new) if student.new else "nothing"
        lines.append(
            f"   {student.student or 'one without a name'}: {percent_in_words(student.share)}; "
            f"lacks {lacks}"
        )
    return lines


def step_in_words(step: NextStep | None) -> str:
    """Describe which measures to learn next, and how much of the song is known then.

    Examples
    --------
    >>> step_in_words(NextStep((5, 6), 0.52)), step_in_words(NextStep((3, 3), 1.0))
    ('measures 5-6: 52 % known', 'measure 3: all known')
    """
    if step is None:
        return ""
    known = "all" if step.share == 1 else percent_in_words(step.share)
    return f"{spans_in_words([step.measures])}: {known} known"


class KnownRun(NamedTuple):
    """Measures in a row of which the same is known, from the same places; in words."""

    measures: list[int]
    known: str
    known_from: str


def known_runs(known: KnownMaterial, labels: Mapping[str, str] = IDS) -> list[KnownRun]:
    """Gather measures in a row of which the same is known from the same places.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id; the id where one is missing.
    """
    rows = [
        (measure.measure, (known_in_words(measure, known.beat), _sources(known, measure, labels)))
        for measure in known.measures
    ]
    return [
        KnownRun([measure for measure, _ in run], *words)
        for words, run in groupby(rows, key=lambda row: row[1])
    ]


def known_in_words(measure: KnownMeasure, beat: float) -> str:
    """Describe which part of a measure is known.

    Parameters
    ----------
    beat : float
        Quarter notes that a beat of the metre lasts.

    Examples
    --------
    >>> known_in_words(KnownMeasure(3, 4.0, 2.0, ((1.0, 3.0),), ()), 1.0)
    'beats 2-3'
    >>> known_in_words(KnownMeasure(3, 4.0, 0.0, (), ()), 1.0)
    'new'
    """
    if not measure.known:
        return "new"
    if measure.known_beats == measure.beats:
        return "all"
    beats = [
        (floor(begin / beat + A_LITTLE) + 1, ceil(end / beat - A_LITTLE))
        for begin, end in measure.known
    ]
    listed = ", ".join(f"{first}-{last}" if last > first else f"{first}" for first, last in beats)
    return f"{'beats' if len(beats) > 1 or beats[0][0] != beats[0][1] else 'beat'} {listed}"


def _sources(known: KnownMaterial, measure: KnownMeasure, labels: Mapping[str, str]) -> str:
    return "; ".join(_source_in_words(known, source, labels) for source in measure.known_from)


def _source_in_words(known: KnownMaterial, source: KnownFrom, labels: Mapping[str, str]) -> str:
    if source.song is None:
        return f'the lick "{source.lick}"'
    if not source.measures:
        return "learned already"
    song = "this song" if source.song == known.song else labels.get(source.song, source.song)
    place = f"{song}, {spans_in_words(source.measures)}"
    return place if source.lick is None else f'{place} (the lick "{source.lick}")'
