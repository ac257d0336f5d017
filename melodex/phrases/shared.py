"""Find the phrases that two songs share, and those that one song repeats."""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import MIRRORED
from melodex.alignment.stretches import Stretch, matching_stretches
from melodex.features.intervals import melodic_intervals
from melodex.features.skeleton import line_pitches
from melodex.model.melody import Melody

FEWEST_NOTES = 5  # matched notes; four match in most pairs of songs
# In nats: five notes, one of them slightly different. Of 600 random pairs of bundled songs 16 %
# have such a phrase, .2 a pair; with 9 there are .31 a pair, with 12 .09. Of the 824 pairs of
# places where the songbook has a lick in two songs, 76 % are found with 10, 77 % with 8; most of
# the others are ornamented, split or held, against rolled.
LEAST_SCORE = 10.0
MOSTLY = 0.5  # the share of a place that must be new for it to count


@dataclass(frozen=True, slots=True, eq=False)
class Phrase:
    """A stretch of one melody, the stretch of another that matches it, and further places."""

    stretch: Stretch
    # Notes of (one, other) at further places, complete or partial.
    again: tuple[list[range], list[range]] = field(default_factory=lambda: ([], []))


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """What two melodies share."""

    phrases: tuple[Phrase, ...]  # longest first
    in_one: NDArray[np.bool_]  # shape (n_notes,), which notes are in a shared phrase
    in_other: NDArray[np.bool_]


def shared_by(one: Melody, other: Melody) -> Shared:
    """Return the phrases that two melodies share in any key, each once.

    If both are the same ``Melody``, every further place of a phrase forms a pair with an earlier
    one. Swapping the melodies only swaps the sides of the result.
    """
    if order_of(one) <= order_of(other):
        return _shared_in_order(one, other)
    mirrored = _shared_in_order(other, one)
    phrases = [
        Phrase(_mirrored(found.stretch), (found.again[1], found.again[0]))
        for found in mirrored.phrases
    ]
    return Shared(tuple(phrases), mirrored.in_other, mirrored.in_one)


def order_of(melody: Melody) -> tuple[int, tuple[bytes, ...]]:
    """Return a sort key for melodies that does not depend on transposition."""
    lines = (melody.pitches, line_pitches(melody))
    parts: tuple[NDArray[Any], ...] = (
        *(melodic_intervals(line) for line in lines if len(line)),
        melody.onsets,
        melody.durations,
        melody.beat_strengths,
        melody.strings,
    )
    return len(melody), tuple(part.tobytes() for part in parts)


def _mirrored(stretch: Stretch) -> Stretch:
    return replace(
        stretch,
        form=MIRRORED.get(stretch.form, stretch.form),
        transposition=-stretch.transposition,
        pairs=stretch.pairs[:, ::-1],
    )


def _shared_in_order(one: Melody, other: Melody) -> Shared:
    in_one = np.zeros(len(one), np.bool_)
    in_other = in_one if one is other else np.zeros(len(other), np.bool_)
    phrases: list[Phrase] = []
    for stretch in matching_stretches(one, other, least_score=LEAST_SCORE):
        if stretch.matched < FEWEST_NOTES:
            continue
        place, counterpart = (_notes(part) for part in stretch.places)
        is_new = (~in_one[place]).mean() >= MOSTLY, (~in_other[counterpart]).mean() >= MOSTLY
        if all(is_new) or (one is other and any(is_new)):
            phrases.append(Phrase(stretch))
        elif any(is_new):
            new_side = is_new.index(True)
            known = _best_known(phrases, stretch.places[1 - new_side], 1 - new_side)
            known.again[new_side].append(stretch.places[new_side])
        else:
            continue
        in_one[place] = in_other[counterpart] = True
    phrases.sort(key=lambda phrase: (-phrase.stretch.matched, -phrase.stretch.score))
    return Shared(tuple(phrases), in_one, in_other)


def _notes(place: range) -> slice:
    return slice(place.start, place.stop)


def _best_known(phrases: list[Phrase], place: range, side: int) -> Phrase:
    """Return the phrase with a place that overlaps most of the given one."""
    return max(
        phrases,
        key=lambda phrase: max(
            len(range(max(place.start, other.start), min(place.stop, other.stop)))
            for other in (phrase.stretch.places[side], *phrase.again[side])
        ),
    )
