"""What students can play of some songs, part by part of their time."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from melodex.model.results.known import Skill
from melodex.model.results.lesson import Span
from melodex.model.results.material import Material

Known = NDArray[np.bool_]
"""Shape (n_parts,): which parts of a material's songs can be played."""

SHARE_DIGITS = 4  # beyond these a share tells nothing
TIME_DIGITS = 4  # of quarter notes
SONG, FIRST, END, SOURCE, SOURCE_FIRST, SOURCE_END = range(6)  # columns of passages
LICK, LICK_FIRST, LICK_END = 1, 2, 3  # columns of places of licks


def nothing_known(material: Material) -> Known:
    """Return the knowledge of a beginner."""
    return np.zeros(len(material.durations), np.bool_)


def knowledge_of(skill: Skill, material: Material) -> Known:
    """Return what of the songs somebody can play who has learned some songs and licks.

    Known is what was learned, whatever is like a passage of it, and where a measure is known every
    measure with the same notes. Of a passage that was learned in part, the same part is known.
    """
    learned = learned_parts(skill, material)
    known = learned.copy()
    for row in material.passages[_is_learned_in_part(material, learned)]:
        known[parts_of_passage(material, row)] |= _learned_of(material, row, learned)
    named = [number for number, lick in enumerate(material.licks) if lick in skill.licks]
    for song, lick, first, end in material.lick_places.tolist():
        if lick in named:
            begin = int(material.first_parts[song])
            known[begin + first : begin + end] = True
    return with_equal_measures(material, known)


def learned_parts(skill: Skill, material: Material) -> Known:
    """Return the parts of songs that were learned themselves."""
    learned = nothing_known(material)
    for number, song in enumerate(material.songs):
        parts = material.parts_of(number)
        if song in skill.songs:
            learned[parts] = True
        for begun, last_measure in skill.beginnings:
            if begun == song:
                learned[parts] |= material.measures[parts] <= last_measure
    return learned


def parts_of_passage(material: Material, row: Sequence[int] | NDArray[np.int32]) -> slice:
    """Return where a passage's parts lie in the arrays of all songs."""
    begin = int(material.first_parts[row[SONG]])
    return slice(begin + int(row[FIRST]), begin + int(row[END]))


def source_of_passage(material: Material, row: Sequence[int] | NDArray[np.int32]) -> slice:
    """Return where the parts lie that a passage is like."""
    begin = int(material.first_parts[row[SOURCE]])
    return slice(begin + int(row[SOURCE_FIRST]), begin + int(row[SOURCE_END]))


def _is_learned_in_part(material: Material, learned: Known) -> Known:
    """Return for each passage whether something of what it is like was learned."""
    rows = material.passages
    so_far = np.concatenate([[0], np.cumsum(learned)])
    begins = material.first_parts[rows[:, SOURCE]]
    found: Known = so_far[begins + rows[:, SOURCE_END]] > so_far[begins + rows[:, SOURCE_FIRST]]
    return found


def _learned_of(material: Material, row: NDArray[np.int32], learned: Known) -> Known:
    """Return which parts of a passage are like parts that were learned, one after the other."""
    here, there = parts_of_passage(material, row), source_of_passage(material, row)
    at_source = learned[there]
    if at_source.all() or not at_source.any():
        every: Known = np.repeat(at_source[:1], here.stop - here.start)
        return every
    passed, passed_there = (_passed(material.durations[parts]) for parts in (here, there))
    like: Known = at_source[np.searchsorted(passed_there, passed).clip(0, len(at_source) - 1)]
    return like


def _passed(durations: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the share of the whole time that has passed in the middle of each part."""
    passed: NDArray[np.float64] = (np.cumsum(durations) - durations / 2) / durations.sum()
    return passed


def with_equal_measures(material: Material, known: Known) -> Known:
    """Add to what is known every part at the same place of a measure with the same notes."""
    starts = np.repeat(material.first_parts[:-1], np.diff(material.first_parts))
    return _with_equal(starts + material.equal_to, known)


def with_equal_in_song(material: Material, song: int, known: Known) -> Known:
    """Do the same within one song; shapes (n_parts of the song,)."""
    return _with_equal(material.equal_to[material.parts_of(song)], known)


def _with_equal(first: NDArray[np.integer], known: Known) -> Known:
    return np.bincount(first, known, len(known))[first] > 0 if len(known) else known


def known_to_all(students: Iterable[Known], material: Material) -> Known:
    """Keep what every student of a class knows; a class without students knows nothing."""
    each = list(students)
    return np.logical_and.reduce(each) if each else nothing_known(material)


def share_known(material: Material, song: int, known: Known) -> float | None:
    """Return which part of a song's time is known, 0 to 1; None if it has no notes."""
    return share_of_song(material, song, known[material.parts_of(song)])


def share_of_song(material: Material, song: int, known: Known) -> float | None:
    """Return the same where ``known`` has the parts of that song alone."""
    durations = material.durations[material.parts_of(song)]
    if not len(durations):
        return None
    return round(float(durations[known].sum() / durations.sum()), SHARE_DIGITS)


def is_known(material: Material, song: int, known: Known) -> bool:
    """Whether nothing of a song is left to learn."""
    return bool(known[material.parts_of(song)].all())


def repeated_parts(material: Material, song: int) -> Known:
    """Return which parts of a song are like earlier ones; shape (n_parts of the song,)."""
    parts = material.parts_of(song)
    equal_to = material.equal_to[parts]
    repeated: Known = equal_to < np.arange(len(equal_to))
    rows = material.passages
    for row in rows[(rows[:, SONG] == song) & (rows[:, SOURCE] == song)]:
        repeated[row[FIRST] : row[END]] = True
    return repeated


def new_time(material: Material, song: int, known: Known) -> float:
    """Return how much of a song is to learn, in quarter notes; what it repeats counts once."""
    parts = material.parts_of(song)
    new = ~known[parts] & ~repeated_parts(material, song)
    return round(float(material.durations[parts][new].sum()), TIME_DIGITS)


def measures_not_known(material: Material, song: int, known: Known) -> tuple[Span, ...]:
    """Return the measures of a song of which something is to learn."""
    parts = material.parts_of(song)
    return spans_of(material.measures[parts][~known[parts]].tolist())


def mostly_within(material: Material, song: int, parts: range) -> tuple[Span, ...]:
    """Return the measures of a song of which some parts take up half or more.

    Where there is none, those that they touch.
    """
    of_song = material.parts_of(song)
    measures, durations = material.measures[of_song], material.durations[of_song]
    touched = measures[parts.start : parts.stop]
    mostly = [
        measure
        for measure in np.unique(touched).tolist()
        if 2 * durations[parts.start : parts.stop][touched == measure].sum()
        >= durations[measures == measure].sum()
    ]
    return spans_of(mostly or touched.tolist())


def spans_of(measures: Iterable[int]) -> tuple[Span, ...]:
    """Join measures that follow each other.

    Examples
    --------
    >>> spans_of([4, 1, 2, 3, 8])
    ((1, 4), (8, 8))
    """
    numbers = np.unique(np.fromiter(measures, np.int64))
    if not len(numbers):
        return ()
    runs = np.split(numbers, np.flatnonzero(np.diff(numbers) > 1) + 1)
    return tuple((int(run[0]), int(run[-1])) for run in runs)
