"""Passages of a melody that are known to someone who has learned another melody."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.stretches import Stretch, matching_stretches
from melodex.model.melody import Melody
from melodex.phrases.shared import LEAST_SCORE as LEAST_OF_A_PHRASE
from melodex.phrases.shared import order_of

# In nats: the score of eight notes with equal pitches and rhythm, such as a measure of eighths. For
# two books of 50 tunes with a common part, the coverage built in (.756) is found with 20 and with
# 24; with 16, passages shared by chance add .03.
LEAST_SCORE = 20.0
# Within a common stretch, in nats: a part that loses more than two equal notes gain is cut out; the
# remainder between two such parts must gain as much as a shared phrase.
MOST_LOST = 4.0


def passages_between(one: Melody, other: Melody) -> Iterator[tuple[range, range]]:
    """Yield the passages of another melody that are similar to one of the first, in any key.

    They are the common stretches without the parts in which the melodies differ: for a version of a
    tune, everything except its changed measures. For a ``Melody`` compared with itself, the first
    passage of each pair is the earlier one.

    Yields
    ------
    notes of one, notes of the other : range, range

    Source
    ------
    Losing parts of an alignment are cut out, as in Zhang, Berman, Wiehe & Miller, "Post-processing
    long pairwise alignments", Bioinformatics 15 (1999) 1012-1019 (from memory).
    """
    yield from passages_both_ways(one, other).of_other


class PassagesBothWays(NamedTuple):
    """Passages of two melodies, for both directions of learning."""

    of_other: list[tuple[range, range]]  # notes of one, notes of the other
    of_one: list[tuple[range, range]]  # notes of the other, notes of one


def passages_both_ways(one: Melody, other: Melody) -> PassagesBothWays:
    """Compare two melodies once for both directions.

    Swapping the melodies only swaps the sides of the result. The directions differ only if one
    melody is too short for a passage.
    """
    if order_of(one) > order_of(other):
        return PassagesBothWays(*reversed(passages_both_ways(other, one)))
    needed = least_score(_of_itself(other)), least_score(_of_itself(one))
    both = PassagesBothWays([], [])
    for stretch in matching_stretches(one, other, least_score=min(needed)):
        for least, passages in zip(needed, both, strict=True):
            if stretch.log_odds >= least:
                passages += _passages_of(stretch, least, mirrored=passages is both.of_one)
    return both


def _passages_of(
    stretch: Stretch, least: float, *, mirrored: bool
) -> Iterator[tuple[range, range]]:
    for part in _parts(stretch, min(least, LEAST_OF_A_PHRASE)):
        pairs = stretch.pairs[part.start : part.stop, :: -1 if mirrored else 1]
        (first_one, first_other), (last_one, last_other) = pairs[[0, -1]].tolist()
        yield range(first_one, last_one + 1), range(first_other, last_other + 1)


def _of_itself(melody: Melody) -> float:
    return float(learned_tables().of_notes(melody.beat_strengths).sum())


def least_score(of_itself: float) -> float:
    """Return the minimum score of a passage in a song, given the song's score with itself; nats.

    A song too short for a passage is known if all of it is known.
    """
    return min(LEAST_SCORE, of_itself)


def _parts(stretch: Stretch, least: float) -> list[range]:
    """Divide a stretch into the runs of pairs with the largest gain, minus ``MOST_LOST`` a cut."""
    # The best choices so far that end outside and inside a run, with the bounds of their runs.
    outside: tuple[float, list[range]] = (-np.inf, [])
    inside: tuple[float, list[range]] = (-np.inf, [range(0)])
    so_far = np.diff(stretch.totals, prepend=0.0)
    for pair, (gain, alone) in enumerate(zip(so_far.tolist(), stretch.gains.tolist(), strict=True)):
        outside = max(outside, inside, key=_score)
        first = (alone, [range(pair, pair + 1)])
        begun = (outside[0] - MOST_LOST + alone, [*outside[1], range(pair, pair + 1)])
        *before, last = inside[1]
        goes_on = (inside[0] + gain, [*before, range(last.start, pair + 1)])
        inside = max(goes_on, begun, first, key=_score)
    runs = max(outside, inside, key=_score)[1]
    return [run for run in runs if _gain(stretch, run) >= least]


def _gain(stretch: Stretch, run: range) -> float:
    """Return the gain of a run of pairs, without the gap before it."""
    first, last = run[0], run[-1]
    return float(stretch.totals[last] - stretch.totals[first] + stretch.gains[first])


def _score(choice: tuple[float, list[range]]) -> float:
    return choice[0]
