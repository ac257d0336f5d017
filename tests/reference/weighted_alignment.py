"""The slow, obvious twin of the compiled weighted alignment: one song, one transposition."""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple


class PlainNote(NamedTuple):
    """A note as the twin sees it."""

    pitch: int
    strength: float
    duration: float
    gap: float


class PlainRules(NamedTuple):
    """What a pair is worth."""

    similarity: Mapping[int, float]  # by distance in half-steps
    beat_weight: float
    duration_weight: float
    split_price: float


def best_passage_score(
    lick: Sequence[PlainNote], song: Sequence[PlainNote], transposition: int, rules: PlainRules
) -> float:
    """Align the whole lick anywhere in a song, by trying every way to end each prefix."""

    def pair(pitch: int, strengths: tuple[float, float], durations: tuple[float, float]) -> float:
        alike = rules.similarity.get(abs(pitch), 0.0)
        beats = 1 - rules.beat_weight * abs(strengths[0] - strengths[1])
        ratio = min(2.0, abs(math.log2(durations[0] / durations[1])))
        return 2 * alike * beats * (1 - rules.duration_weight * ratio) - 1

    total = [[0.0] * (len(song) + 1) for _ in range(len(lick) + 1)]
    for i in range(1, len(lick) + 1):
        wanted = lick[i - 1]
        for j in range(len(song) + 1):
            ways = [total[i - 1][j] - wanted.gap]
            found = song[max(0, j - 1)]
            apart = found.pitch - wanted.pitch - transposition
            if j > 0:
                ways.append(total[i][j - 1] - found.gap)
                ways.append(
                    total[i - 1][j - 1]
                    + pair(
                        apart,
                        (wanted.strength, found.strength),
                        (wanted.duration, found.duration),
                    )
                )
            if j > 1 and song[j - 2].pitch == song[j - 1].pitch:
                split = (wanted.duration, song[j - 2].duration + song[j - 1].duration)
                strengths = (wanted.strength, song[j - 2].strength)
                ways.append(total[i - 1][j - 2] + pair(apart, strengths, split) - rules.split_price)
            if j > 0 and i > 1 and lick[i - 2].pitch == wanted.pitch:
                joined = (lick[i - 2].duration + wanted.duration, found.duration)
                strengths = (lick[i - 2].strength, found.strength)
                ways.append(
                    total[i - 2][j - 1] + pair(apart, strengths, joined) - rules.split_price
                )
            total[i][j] = max(ways)
    return max(total[-1][1:])
