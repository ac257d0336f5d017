"""What of a song a student, or every student of a class, can already play, and from where."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from melodex.lessons.knowledge import (
    END,
    FIRST,
    SONG,
    SOURCE,
    SOURCE_END,
    SOURCE_FIRST,
    TIME_DIGITS,
    Known,
    knowledge_of,
    known_to_all,
    learned_parts,
    measures_not_known,
    mostly_within,
    share_known,
    source_of_passage,
)
from melodex.lessons.reasons_for_passages import fewest_passages, lick_at
from melodex.model.results.known import KnownFrom, KnownMaterial, KnownMeasure, Skill, StudentShare
from melodex.model.results.material import Material

Reasons = list[tuple[range, KnownFrom]]
"""Stretches of a song's parts, and why they are known."""


def known_of_song(
    material: Material, song: int, skills: Sequence[Skill], *, beat: float = 1.0
) -> KnownMaterial:
    """Return, measure by measure, how much of a song is known, and from where.

    Several students know what every one of them knows; the reasons are those of the first.

    Parameters
    ----------
    song : int
        Its number in the material.
    skills : sequence of Skill
        One or more students.
    beat : float
        Quarter notes that a beat of the song's metre lasts.
    """
    each = [knowledge_of(skill, material) for skill in skills]
    together = known_to_all(each, material)
    return KnownMaterial(
        song=material.songs[song],
        title=material.titles[song],
        beat=beat,
        share=share_known(material, song, together),
        measures=_measures(material, song, together, _reasons(material, song, skills[0], together)),
        students=tuple(
            StudentShare(
                student=skill.student,
                share=share_known(material, song, known),
                new=measures_not_known(material, song, known),
            )
            for skill, known in zip(skills, each, strict=True)
        ),
    )


def _measures(
    material: Material, song: int, known: Known, reasons: Reasons
) -> tuple[KnownMeasure, ...]:
    of_song = material.parts_of(song)
    measures, durations = material.measures[of_song], material.durations[of_song]
    positions, is_known = material.positions[of_song], known[of_song]
    found: list[KnownMeasure] = []
    for measure in dict.fromkeys(measures.tolist()):
        parts = np.flatnonzero(measures == measure)
        those = parts[is_known[parts]]
        found.append(
            KnownMeasure(
                measure=measure,
                beats=round(float(durations[parts].sum()), TIME_DIGITS),
                known_beats=round(float(durations[those].sum()), TIME_DIGITS),
                known=_stretches(positions[those], durations[those]),
                known_from=_distinct(
                    reason for stretch, reason in reasons if any(part in stretch for part in those)
                ),
            )
        )
    return tuple(found)


def _distinct(reasons: Iterable[KnownFrom]) -> tuple[KnownFrom, ...]:
    return tuple(dict.fromkeys(reasons))


def _stretches(
    positions: NDArray[np.float64], durations: NDArray[np.float64]
) -> tuple[tuple[float, float], ...]:
    """Join parts that follow each other; from, to, in quarter notes from the bar line."""
    joined: list[tuple[float, float]] = []
    for begin, duration in zip(positions.tolist(), durations.tolist(), strict=True):
        begin, end = round(begin, TIME_DIGITS), round(begin + duration, TIME_DIGITS)
        if joined and abs(joined[-1][1] - begin) < 10.0**-TIME_DIGITS * 2:
            begin = joined.pop()[0]
        joined.append((begin, end))
    return tuple(joined)


def _reasons(material: Material, song: int, skill: Skill, known: Known) -> Reasons:
    """Account for what is known of a song: learned itself, licks by name, passages of songs."""
    of_song = material.parts_of(song)
    learned = learned_parts(skill, material)
    left = known[of_song].copy()
    reasons: Reasons = []
    itself = KnownFrom(material.songs[song], None, ())
    for part in np.flatnonzero(learned[of_song]).tolist():
        reasons.append((range(part, part + 1), itself))
        left[part] = False
    places: list[list[int]] = material.lick_places.tolist()
    for number, lick, first, end in places:
        if number == song and material.licks[lick] in skill.licks and left[first:end].any():
            reasons.append((range(first, end), KnownFrom(None, material.licks[lick], ())))
            left[first:end] = False
    rows = material.passages[material.passages[:, SONG] == song]
    taught = np.array([bool(learned[source_of_passage(material, row)].any()) for row in rows], bool)
    for row in fewest_passages(material, rows[taught], left, lambda _: 0):
        here = range(int(row[FIRST]), int(row[END]))
        reasons.append((here, _known_from(material, row, lick_at(material, song, here))))
        left[here.start : here.stop] = False
    return [*reasons, *_of_equal_measures(material, song, left, reasons)]


def _known_from(material: Material, row: NDArray[np.int32], lick: str | None) -> KnownFrom:
    source = int(row[SOURCE])
    parts = range(int(row[SOURCE_FIRST]), int(row[SOURCE_END]))
    return KnownFrom(material.songs[source], lick, mostly_within(material, source, parts))


def _of_equal_measures(material: Material, song: int, left: Known, reasons: Reasons) -> Reasons:
    """Fill in the reason of a part that has none from an equal part."""
    equal_to = material.equal_to[material.parts_of(song)]
    return [
        (range(part, part + 1), reason)
        for part in np.flatnonzero(left).tolist()
        for stretch, reason in reasons
        if equal_to[part] in {int(equal_to[other]) for other in stretch}
    ]
