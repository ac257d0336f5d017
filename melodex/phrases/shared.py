"""The phrases that two songs share, and the phrases that one song repeats."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.stretches import Stretch, answering_stretches
from melodex.features.intervals import melodic_intervals
from melodex.model.melody import Melody

FEWEST_NOTES = 5  # that answer each other; four do so in most pairs of songs
# Five notes, one of them a little different. Of 300 random pairs of the bundled songs one in five
# has such a phrase, 0.4 a pair; from 4 on one in three, from 6 on one in 25.
LEAST_WORTH = 4.5
MOSTLY = 0.5  # the share of a place that must be new for the place to be told


@dataclass(frozen=True, slots=True, eq=False)
class Phrase:
    """A stretch of one melody, the stretch of another that answers it, and further places."""

    stretch: Stretch
    # Notes of (one, other) where it stands once more, whole or in part.
    again: tuple[list[range], list[range]] = field(default_factory=lambda: ([], []))

    @property
    def score(self) -> float:
        """Its worth as a share of the longer place's with itself, 0 to 1."""
        return self.stretch.worth / max(map(len, self.stretch.places))


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """What two melodies share."""

    phrases: tuple[Phrase, ...]  # the longest first
    in_one: NDArray[np.bool_]  # shape (n_notes,), which notes lie in a shared phrase
    in_other: NDArray[np.bool_]


def shared_by(one: Melody, other: Melody) -> Shared:
    """Find the phrases that two melodies share in any key, each once.

    The same ``Melody`` twice is compared with itself: then every further place of a phrase makes a
    phrase with an earlier one. Exchanging the two melodies exchanges the sides of the answer and
    changes nothing else.
    """
    if _order(one) <= _order(other):
        return _shared_in_order(one, other)
    mirrored = _shared_in_order(other, one)
    phrases = [
        Phrase(_mirrored(found.stretch), (found.again[1], found.again[0]))
        for found in mirrored.phrases
    ]
    return Shared(tuple(phrases), mirrored.in_other, mirrored.in_one)


def _order(melody: Melody) -> tuple[int, bytes, bytes, bytes, bytes]:
    """Put melodies in an order that no transposition changes."""
    return (
        len(melody),
        melodic_intervals(melody.pitches).tobytes() if len(melody) else b"",
        melody.onsets.tobytes(),
        melody.durations.tobytes(),
        melody.beat_strengths.tobytes(),
    )


def _mirrored(stretch: Stretch) -> Stretch:
    return Stretch(-stretch.transposition, stretch.worth, stretch.answered, stretch.pairs[:, ::-1])


def _shared_in_order(one: Melody, other: Melody) -> Shared:
    in_one = np.zeros(len(one), np.bool_)
    in_other = in_one if one is other else np.zeros(len(other), np.bool_)
    phrases: list[Phrase] = []
    for stretch in answering_stretches(one, other, least_worth=LEAST_WORTH):
        if stretch.answered < FEWEST_NOTES:
            continue
        place, answer = (_notes(part) for part in stretch.places)
        is_new = (~in_one[place]).mean() >= MOSTLY, (~in_other[answer]).mean() >= MOSTLY
        if all(is_new) or (one is other and any(is_new)):
            phrases.append(Phrase(stretch))
        elif any(is_new):
            new_side = is_new.index(True)
            known = _best_known(phrases, stretch.places[1 - new_side], 1 - new_side)
            known.again[new_side].append(stretch.places[new_side])
        else:
            continue
        in_one[place] = in_other[answer] = True
    phrases.sort(key=lambda phrase: (-phrase.stretch.answered, -phrase.score))
    return Shared(tuple(phrases), in_one, in_other)


def _notes(place: range) -> slice:
    return slice(place.start, place.stop)


def _best_known(phrases: list[Phrase], place: range, side: int) -> Phrase:
    """Find the phrase, or its further place, that holds most of a place."""
    return max(
        phrases,
        key=lambda phrase: max(
            len(range(max(place.start, other.start), min(place.stop, other.stop)))
            for other in (phrase.stretch.places[side], *phrase.again[side])
        ),
    )
