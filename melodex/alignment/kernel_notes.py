"""Notes and settings in the kernels' numbers: thousandths, and a weight for every kind of note."""

from collections.abc import Sequence
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches, Strengths
from melodex.alignment.pair_weights import Rhythm, Weighing, pair_weights, rhythm_of
from melodex.alignment.settings import AlignmentSettings
from melodex.kernels import weighted_alignment as kernel

_Number = TypeVar("_Number", bound=np.generic)


class Line(NamedTuple):
    """A lick's notes, or some of them; arrays of equal length."""

    pitches: Pitches
    strengths: Strengths  # of the beat
    durations: Beats
    gaps: NDArray[np.float64]  # the price of leaving out each


class Variant(NamedTuple):
    """A way to weigh the pairs of a lick's notes."""

    weighing: Weighing
    scaling: float = 1.0  # of the lick's note values
    lift: float = 1.0  # of its beat strengths, up to the strongest
    worth: float = 1.0  # what the score is multiplied by


def asked_lick(
    line: Line, kinds: Rhythm, variants: Sequence[Variant], split_price: float
) -> kernel.Asked:
    """Weigh a lick's notes with every kind of a song's notes, in all its variants."""
    gaps = thousandths(line.gaps)
    largest_total = kernel.UNIT * len(gaps) + int(gaps.sum())
    fits = (
        largest_total <= -2 * kernel.FLOOR and kernel.UNIT * (1 + split_price) <= kernel.ROOM_BELOW
    )
    rhythms = [
        rhythm_of(np.minimum(1, variant.lift * line.strengths), variant.scaling * line.durations)
        for variant in variants
    ]
    single, joined = (
        np.stack(
            [
                pair_weights(rhythm[notes], kinds, variant.weighing)
                for rhythm, variant in zip(rhythms, variants, strict=True)
            ],
            axis=1,
        )
        for notes in (0, 1)
    )
    of_kinds = np.concatenate([single, joined], axis=1)
    _, first, place = np.unique(of_kinds, axis=0, return_index=True, return_inverse=True)
    return kernel.Asked(
        pitches=line.pitches.astype(np.int16),
        gaps=gaps.astype(np.int16 if fits else np.int32),
        weights=single,
        joined_weights=joined,
        alike=first[place.ravel()].astype(np.uint16),
    )


def pitch_rules(settings: AlignmentSettings) -> kernel.Rules:
    """Tell the kernels what the pitches of a pair are worth."""
    return kernel.Rules(settings.similarity_table(), round(kernel.UNIT * settings.split_price))


def thousandths(prices: NDArray[np.floating]) -> NDArray[np.int64]:
    """Give prices as the kernels count them; shape as given."""
    return np.rint(kernel.UNIT * prices.astype(np.float64)).astype(np.int64)


def read_only(array: NDArray[_Number]) -> NDArray[_Number]:
    """See an array as the mapped ones are, so that kernels are compiled once for both."""
    seen = array.view()
    seen.setflags(write=False)
    return seen
