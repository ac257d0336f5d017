"""Why a song stands where it stands: what comes back from where, and what is new."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.lessons.knowledge import (
    END,
    FIRST,
    LICK,
    LICK_END,
    LICK_FIRST,
    SONG,
    SOURCE,
    TIME_DIGITS,
    Known,
    new_time,
    parts_of_passage,
    repeated_parts,
    source_of_passage,
    spans_of,
    with_equal_measures,
)
from melodex.lessons.reasons_for_passages import fewest_passages, lick_at
from melodex.model.results.lesson import Lesson, Reason
from melodex.model.results.material import Material

BACK, KNOWN, NEW = "back", "known", "new"
SHORT = 2.0  # quarter notes; what comes back in shorter passages is named together


class _Met(NamedTuple):
    """What was met before a lesson."""

    known: Known  # before the first lesson
    lesson_of: Mapping[int, int]  # by song


def known_before_each(material: Material, order: Sequence[int], known: Known) -> Iterator[Known]:
    """Yield what is known before each lesson, from those before and from before the first."""
    rows = material.passages
    met = known.copy()
    for song in order:
        yield with_equal_measures(material, met)
        met[material.parts_of(song)] = True
        for row in rows[rows[:, SOURCE] == song]:
            met[parts_of_passage(material, row)] = True


def explained_lessons(
    material: Material,
    order: Sequence[int],
    known: Known,
    *,
    numbers: Sequence[int],
    shares: Sequence[tuple[float, float]],
) -> tuple[Lesson, ...]:
    """Return, lesson by lesson, what comes back and what is new.

    Parameters
    ----------
    order : sequence of int
        Numbers of songs in the material.
    numbers : sequence of int
        Those of the lessons, from 1.
    shares : sequence of (float, float)
        How much of each song is known already, and how much of it from the lesson before.
    """
    lessons: list[Lesson] = []
    before_each = known_before_each(material, order, known)
    for place, (song, before) in enumerate(zip(order, before_each, strict=True)):
        lesson_of = dict(zip(order[:place], numbers, strict=False))
        parts = material.parts_of(song)
        durations = material.durations[parts]
        lessons.append(
            Lesson(
                lesson=numbers[place],
                song=material.songs[song],
                title=material.titles[song],
                level=material.levels[song],
                share=shares[place][0],
                share_from_last=shares[place][1],
                reused=round(float(durations[before[parts]].sum()), TIME_DIGITS),
                new=new_time(material, song, before),
                because=(
                    *_what_comes_back(material, song, before[parts], _Met(known, lesson_of)),
                    *_what_is_new(material, song, before[parts]),
                ),
                suggested_level=material.suggested_level(song),
            )
        )
    return tuple(lessons)


def _what_comes_back(material: Material, song: int, wanted: Known, met: _Met) -> list[Reason]:
    """Account for what is known of a song: from the last lesson first, then by long passages."""
    rows = material.passages[material.passages[:, SONG] == song]
    last = max(met.lesson_of.values(), default=0)
    chosen = fewest_passages(
        material,
        rows[[_is_met(material, row, met) for row in rows]],
        wanted,
        lambda source: int(met.lesson_of.get(source, 0) < last),
    )
    chosen.sort(key=lambda row: -met.lesson_of.get(int(row[SOURCE]), 0))
    parts = material.parts_of(song)
    durations, equal_to = material.durations[parts], material.equal_to[parts]
    here: dict[tuple[int, str | None], Known] = {}
    there: dict[tuple[int, str | None], Known] = {}
    left, short = wanted.copy(), np.zeros_like(wanted)
    for row in chosen:
        stretch = range(int(row[FIRST]), int(row[END]))
        those = np.isin(equal_to, equal_to[stretch.start : stretch.stop]) & left
        left &= ~those
        if durations[those].sum() < SHORT:
            short |= those
            continue
        key = (int(row[SOURCE]), lick_at(material, song, stretch))
        here[key] = here.get(key, np.zeros_like(wanted)) | those
        there.setdefault(key, np.zeros(len(material.durations), np.bool_))[
            source_of_passage(material, row)
        ] = True
    reasons = [
        Reason(
            lick=lick,
            state=BACK if source in met.lesson_of else KNOWN,
            measures=_spans(material, song, here[source, lick]),
            from_lesson=met.lesson_of.get(source),
            from_song=material.songs[source],
            from_measures=spans_of(material.measures[there[source, lick]].tolist()),
        )
        for source, lick in here
    ]
    reasons.sort(key=lambda reason: (-(reason.from_lesson or 0), reason.measures))
    if short.any():
        reasons.append(Reason(None, BACK, _spans(material, song, short)))
    if left.any():
        reasons.append(Reason(None, KNOWN, _spans(material, song, left)))
    return reasons


def _is_met(material: Material, row: NDArray[np.int32], met: _Met) -> bool:
    if int(row[SOURCE]) == int(row[SONG]):
        return False
    in_lessons = int(row[SOURCE]) in met.lesson_of
    return in_lessons or bool(met.known[source_of_passage(material, row)].all())


def _what_is_new(material: Material, song: int, is_known: Known) -> Iterator[Reason]:
    """Name the licks that are new for the most part, the longest first, then all other measures."""
    parts = material.parts_of(song)
    durations = material.durations[parts]
    left = ~is_known & ~repeated_parts(material, song)
    places = material.lick_places[material.lick_places[:, SONG] == song]
    found: dict[int, Known] = {}
    while len(places):
        new = [float((durations * left)[row[LICK_FIRST] : row[LICK_END]].sum()) for row in places]
        best = int(np.argmax(new))
        stretch = slice(int(places[best, LICK_FIRST]), int(places[best, LICK_END]))
        if 2 * new[best] <= durations[stretch].sum():
            break
        of_lick = found.setdefault(int(places[best, LICK]), np.zeros_like(left))
        of_lick[stretch] = left[stretch]
        left[stretch] = False
    named = [
        Reason(material.licks[lick], NEW, _spans(material, song, of_lick))
        for lick, of_lick in found.items()
    ]
    yield from sorted(named, key=lambda reason: reason.measures)
    if left.any():
        yield Reason(None, NEW, _spans(material, song, left))


def _spans(material: Material, song: int, these: Known) -> tuple[tuple[int, int], ...]:
    return spans_of(material.measures[material.parts_of(song)][these].tolist())
