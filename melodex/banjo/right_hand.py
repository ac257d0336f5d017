"""Thumb, index and middle for strings that are given: turns taken in fast passages."""

from collections.abc import Sequence
from itertools import pairwise

from melodex.banjo.fingering_settings import FAST

# Each string's fingers, the usual one first. Common practice, no source.
_FINGERS = {1: "M", 2: "IT", 3: "TI", 4: "T", 5: "T"}
_UNUSUAL = 0.1  # what the second finger of a string costs, where the same finger twice costs 1
_PINCH = {1: "M", 2: "I"}  # the others are the thumb's


def right_hand(onsets: Sequence[float], strings: Sequence[tuple[int, ...]]) -> list[str]:
    """Choose the fingers that strike given strings.

    Parameters
    ----------
    onsets : sequence of float
        Quarter notes, one for each stroke.
    strings : sequence of tuples
        The strings of each stroke; several are a pinch.

    Returns
    -------
    list of str
        A letter for each string of a stroke; of all choices one that repeats a finger within a
        fast note least often.
    """
    if not strings:
        return []
    options = [_options(together) for together in strings]
    costs = [{fingers: _UNUSUAL * place for place, fingers in enumerate(options[0])}]
    came_from: list[dict[str, str]] = []
    for (earlier, onset), fitting in zip(pairwise(onsets), options[1:], strict=True):
        is_fast = onset - earlier <= FAST
        best: dict[str, float] = {}
        origin: dict[str, str] = {}
        for place, fingers in enumerate(fitting):
            sums = {
                before: cost + (is_fast and bool(set(before) & set(fingers)))
                for before, cost in costs[-1].items()
            }
            origin[fingers] = min(sums, key=sums.__getitem__)
            best[fingers] = sums[origin[fingers]] + _UNUSUAL * place
        costs.append(best)
        came_from.append(origin)
    chosen = [min(costs[-1], key=costs[-1].__getitem__)]
    for origin in reversed(came_from):
        chosen.append(origin[chosen[-1]])
    return chosen[::-1]


def _options(together: tuple[int, ...]) -> list[str]:
    if len(together) == 1:
        return list(_FINGERS[together[0]])
    return ["".join(_PINCH.get(string, "T") for string in together)]
