"""Lesson plans and known measures in a teacher's words."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from melodex.model.known import KnownFrom, KnownMaterial, KnownMeasure
from melodex.model.lesson import LessonPlan, Reason, Span, Stage

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
    """Say a share of 0 to 1 in percent.

    Examples
    --------
    >>> percent_in_words(0.375), percent_in_words(None)
    ('38 %', 'unknown')
    """
    return "unknown" if share is None else f"{100 * share:.0f} %"


def share_in_words(known: KnownMaterial) -> list[str]:
    """Say how much of a song is known, by one student or by each of a class; a text a line."""
    told = f"{known.title}: {percent_in_words(known.share)} of its measures can be played already"
    if len(known.students) == 1:
        return [f"{told}."]
    lines = [f"{told} by all."]
    for student in known.students:
        lacks = spans_in_words(student.new) if student.new else "nothing"
        lines.append(
            f"   {student.student or 'one without a name'}: {percent_in_words(student.share)}; "
            f"lacks {lacks}"
        )
    return lines


def known_from_in_words(measure: KnownMeasure, labels: Mapping[str, str] = IDS) -> str:
    """Say from where a measure is known.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id; the id where one is missing.

    Examples
    --------
    >>> known_from_in_words(KnownMeasure(3, ()))
    'new'
    >>> known_from_in_words(KnownMeasure(3, (KnownFrom("gate", "lick 2", ((5, 6),)),)))
    'lick 2 in gate, measures 5-6'
    """
    return "; ".join(_source_in_words(source, labels) for source in measure.known_from) or "new"


def _source_in_words(source: KnownFrom, labels: Mapping[str, str]) -> str:
    if source.lick is None:
        return "the song is known"
    if source.song is None:
        return f"{source.lick} is known"
    song = labels.get(source.song, source.song)
    return f"{source.lick} in {song}, {spans_in_words(source.measures)}"
