"""From which songs a stretch of a song is known: the fewest passages that account for it."""

from collections.abc import Callable, Sequence

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
    Known,
)
from melodex.model.results.material import Material, Passages

Preference = Callable[[int], int]
"""Of two songs that teach as much, the one with the smaller number is named."""


def fewest_passages(
    material: Material, rows: Passages, wanted: Known, preference: Preference
) -> list[NDArray[np.int32]]:
    """Choose passages that cover the wanted parts of a song, each time the one that covers most.

    Parameters
    ----------
    rows : shape (n, 6)
        Passages of one song, as ``Material.passages``.
    wanted : shape (n_parts of the song,)
        The parts to account for.

    Returns
    -------
    list of rows
        In the order of the song.
    """
    if not len(rows):
        return []
    durations = material.durations[material.parts_of(int(rows[0, SONG]))]
    left = np.where(wanted, durations, 0.0)
    chosen: list[NDArray[np.int32]] = []
    while True:
        so_far = np.concatenate([[0.0], np.cumsum(left)])
        gains = so_far[rows[:, END]] - so_far[rows[:, FIRST]]
        best = min(
            range(len(rows)),
            key=lambda row: (
                (
                    preference(int(rows[row, SOURCE])),
                    -round(float(gains[row]), 6),
                    rows[row].tolist(),
                )
                if gains[row] > 0
                else (np.inf,)
            ),
        )
        if gains[best] <= 0:
            return sorted(chosen, key=lambda row: row.tolist())
        chosen.append(rows[best])
        left[rows[best, FIRST] : rows[best, END]] = 0


def lick_at(material: Material, song: int, parts: range) -> str | None:
    """Return the name of the lick that has most of its time in common with a stretch of a song.

    None where no lick has more than half of its own time and of the stretch's there.
    """
    durations = material.durations[material.parts_of(song)]
    so_far = np.concatenate([[0.0], np.cumsum(durations)])

    def time(first: int, end: int) -> float:
        return float(so_far[max(first, end)] - so_far[first])

    best: tuple[float, str] | None = None
    for row in _places_in(material, song):
        first, end = int(row[LICK_FIRST]), int(row[LICK_END])
        common = time(max(first, parts.start), min(end, parts.stop))
        if 2 * common > max(time(first, end), time(parts.start, parts.stop)):
            found = (common, material.licks[int(row[LICK])])
            best = max(best, found) if best else found
    return best and best[1]


def _places_in(material: Material, song: int) -> Sequence[NDArray[np.int32]]:
    return list(material.lick_places[material.lick_places[:, SONG] == song])
