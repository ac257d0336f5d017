"""Lesson plans and known measures in a teacher's words."""

from collections.abc import Mapping, Sequence
from itertools import groupby
from math import ceil, floor
from types import MappingProxyType
from typing import NamedTuple

from melodex.model.known import KnownFrom, KnownMaterial, KnownMeasure, NextStep
from melodex.model.lesson import LessonPlan, Reason, Span, Stage

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
    """Say what a lick, or the single measures, of a song are to the student.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id; the id where one is missing.

    Examples
    --------
    >>> reason_in_words(Reason("lick 3", "back", ((5, 6),), 2, "cinder-path", ((1, 2),)))
    'lick 3 in measures 5-6 comes back from lesson 2 (cinder-path, measures 1-2)'
    >>> reason_in_words(Reason(None, "new", ((1, 4),)))
    'measures 1-4 are new and belong to no lick'
    """
    here = spans_in_words(reason.measures)
    if reason.lick is None:
        return f"{here} {_are(reason.measures)} new and {_belong(reason.measures)} to no lick"
    from_song = labels.get(reason.from_song or "", reason.from_song)
    there = f"{from_song}, {spans_in_words(reason.from_measures)}"
    if reason.state == "new":
        return f"{reason.lick} in {here} is new"
    if reason.from_lesson is not None:
        return f"{reason.lick} in {here} comes back from lesson {reason.from_lesson} ({there})"
    known = f"{reason.lick} in {here} is known before the first lesson"
    return f"{known} ({there})" if reason.from_song is not None else known


def _are(spans: Sequence[Span]) -> str:
    return "is" if spans_in_words(spans).startswith("measure ") else "are"


def _belong(spans: Sequence[Span]) -> str:
    return "belongs" if spans_in_words(spans).startswith("measure ") else "belong"


def stage_in_words(stage: Stage) -> str:
    """Say what came of one aim.

    Examples
    --------
    >>> stage_in_words(Stage("smallest peak", 12, 12)), stage_in_words(Stage("most re-use", 90, 95))
    ('smallest peak: 12, optimal', 'most re-use: 90; no plan reaches more than 95 (gap 5.3 %)')
    """
    if stage.optimal:
        return f"{stage.aim}: {stage.value}, optimal"
    limit = "less" if stage.bound < stage.value else "more"
    gap = abs(stage.value - stage.bound) / max(stage.value, stage.bound)
    return (
        f"{stage.aim}: {stage.value}; no plan reaches {limit} than {stage.bound} "
        f"(gap {100 * gap:.1f} %)"
    )


def plan_in_words(plan: LessonPlan, labels: Mapping[str, str]) -> list[str]:
    """Say lesson by lesson why a song is there, and how good the plan is; a text a line.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id.
    """
    lines: list[str] = []
    for lesson in plan.lessons:
        lines.append(f"{lesson.lesson}. {labels[lesson.song]}")
        lines += [f"   {reason_in_words(reason, labels)}" for reason in lesson.because]
    lines += ["", "Material is counted in measures: a lick once, at its own length."]
    lines += [stage_in_words(stage) for stage in plan.stages]
    lines += [f"Broken: {limit}." for limit in plan.broken]
    return lines


def percent_in_words(share: float | None) -> str:
    """Say a share of 0 to 1 in percent; nearly nothing and nearly all stay apart from both.

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
    """Say how much of a song is known, by one student or by each of a class; a text a line."""
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
    """Say which measures to learn next, and how much of the song is known then.

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
    """Say which part of a measure is known.

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
