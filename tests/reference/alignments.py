"""Slow, obvious twins of the compiled alignments of whole songs and of stretches."""

import math
from collections.abc import Sequence
from functools import cache

from tests.reference.weighted_alignment import PlainNote, PlainRules


def whole_song_total(
    own: Sequence[PlainNote],
    song: Sequence[PlainNote],
    transposition: int,
    rules: PlainRules,
    gaps: tuple[float, float],
) -> float:
    """Align all of both songs by trying every way on from every pair of places.

    ``gaps`` are the prices of the first note of a run without an answer and of each further one.
    """

    @cache
    def best(i: int, j: int, last: str) -> float:
        if i == len(own) and j == len(song):
            return 0.0
        ways = []
        if i < len(own) and j < len(song):
            ways.append(_pair(own[i], song[j], transposition, rules) + best(i + 1, j + 1, "pair"))
        if i < len(own):
            ways.append(best(i + 1, j, "own") - gaps[last == "own"])
        if j < len(song):
            ways.append(best(i, j + 1, "song") - gaps[last == "song"])
        return max(ways)

    return best(0, 0, "pair")


def best_stretch_worth(
    one: Sequence[PlainNote], other: Sequence[PlainNote], transposition: int, rules: PlainRules
) -> float:
    """Align any stretches of two melodies by trying every way on from every beginning."""

    @cache
    def best(i: int, j: int) -> float:
        """The most that notes from i and j on can add."""
        ways = [0.0]
        for one_step, other_step in ((1, 1), (1, 2), (2, 1)):
            mine, theirs = one[i : i + one_step], other[j : j + other_step]
            if len(mine) == one_step and len(theirs) == other_step and _repeats(mine, theirs):
                price = rules.split_price if one_step != other_step else 0.0
                worth = _pair(_joined(mine), _joined(theirs), transposition, rules) - price
                ways.append(worth + best(i + one_step, j + other_step))
        if i < len(one):
            ways.append(best(i + 1, j) - one[i].gap)
        if j < len(other):
            ways.append(best(i, j + 1) - other[j].gap)
        return max(ways)

    return max(best(i, j) for i in range(len(one)) for j in range(len(other)))


def _pair(one: PlainNote, other: PlainNote, transposition: int, rules: PlainRules) -> float:
    alike = rules.similarity.get(abs(other.pitch - one.pitch - transposition), 0.0)
    beats = 1 - rules.beat_weight * abs(one.strength - other.strength)
    doublings = min(2.0, abs(math.log2(one.duration / other.duration)))
    return 2 * alike * beats * (1 - rules.duration_weight * doublings) - 1


def _repeats(*stretches: Sequence[PlainNote]) -> bool:
    return all(len({note.pitch for note in stretch}) == 1 for stretch in stretches)


def _joined(notes: Sequence[PlainNote]) -> PlainNote:
    return notes[0]._replace(duration=sum(note.duration for note in notes))
