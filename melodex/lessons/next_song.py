"""Which songs are closest to what a student can play, and to which others each opens the way."""

from collections.abc import Collection, Sequence

import numpy as np

from melodex.lessons.knowledge import (
    END,
    FIRST,
    SONG,
    SOURCE_END,
    SOURCE_FIRST,
    TIME_DIGITS,
    Known,
    new_time,
    share_known,
    share_of_song,
    with_equal_in_song,
)
from melodex.model.results.known import NextSong, NextStep
from melodex.model.results.material import Material, Passages

MOST_OPENED = 5  # songs named that a song opens the way to; more are not read
HALF = 0.5
LONGEST_STEP = 4  # measures that a lesson can teach at most


def closest_songs(
    material: Material, known: Known, *, among: Collection[int], limit: int | None
) -> list[int]:
    """Return the songs of which most is known, but not all; ties by the least time that is new.

    Parameters
    ----------
    among : collection of int
        The songs to choose from, by their number in the material.
    limit : int or None
        How many songs at most; None for all.
    """
    songs = np.repeat(np.arange(len(material.songs)), np.diff(material.first_parts))
    everything = np.bincount(songs, material.durations, len(material.songs))
    new = np.bincount(songs, material.durations * ~known, len(material.songs))
    shares = 1 - new / np.maximum(everything, 10.0**-TIME_DIGITS)
    ranked = sorted(
        (song for song in among if new[song] > 0 or not everything[song]),
        key=lambda song: (-shares[song] if everything[song] else 0.0, new[song], song),
    )
    return ranked[:limit]


def next_song(
    material: Material,
    song: int,
    known: Known,
    licks: Sequence[tuple[str, range]],
    taught: Passages,
) -> NextSong:
    """Describe what it takes to learn a song, and what it brings.

    Parameters
    ----------
    licks : sequence of (name, parts)
        Where in the song licks stand.
    taught : shape (n_passages, 6)
        The passages that the song teaches, as ``Material.passages``.
    """
    is_known = known[material.parts_of(song)]
    new = {name for name, parts in licks if not is_known[parts.start : parts.stop].all()}
    return NextSong(
        song=material.songs[song],
        title=material.titles[song],
        share=share_known(material, song, known),
        new=new_time(material, song, known),
        step=smallest_step(material, song, known, taught),
        new_licks=tuple(sorted(new)),
        opens_the_way_to=_opened(material, song, known, taught),
    )


def smallest_step(material: Material, song: int, known: Known, taught: Passages) -> NextStep | None:
    """Return the fewest measures in a row with which half of a song is known, or else all of it.

    Where more than a few are needed, those few with which most is known.
    """
    share = share_known(material, song, known)
    if share is None:
        return None
    goal = HALF if share < HALF else 1.0
    numbers = list(dict.fromkeys(material.measures[material.parts_of(song)].tolist()))
    best: NextStep | None = None
    for length in range(1, min(LONGEST_STEP, len(numbers)) + 1):
        for first, last in zip(numbers, numbers[length - 1 :], strict=False):
            then = _known_after(material, song, known, (first, last), taught)
            if best is None or then > best.share:
                best = NextStep((first, last), then)
        if best and best.share >= goal:
            return best
    return best


def _known_after(
    material: Material, song: int, known: Known, span: tuple[int, int], taught: Passages
) -> float:
    """Return what share of a song is known once some measures are learned, with all like them."""
    measures = material.measures[material.parts_of(song)]
    learned = (measures >= span[0]) & (measures <= span[1])
    then = known[material.parts_of(song)] | learned
    for row in taught[taught[:, SONG] == song]:
        if learned[row[SOURCE_FIRST] : row[SOURCE_END]].all():
            then[row[FIRST] : row[END]] = True
    return share_of_song(material, song, with_equal_in_song(material, song, then)) or 0.0


def _opened(material: Material, song: int, known: Known, taught: Passages) -> tuple[str, ...]:
    """Return the songs of which most is known besides once a song is learned."""
    gains: list[tuple[float, str]] = []
    others: list[int] = np.unique(taught[:, SONG]).tolist()
    for other in others:
        parts = material.parts_of(other)
        if other == song or known[parts].all():
            continue
        new = ~known[parts]
        then = np.zeros_like(new)
        for row in taught[taught[:, SONG] == other]:
            then[row[FIRST] : row[END]] = True
        gain = float(material.durations[parts][new & then].sum())
        if gain > 0:
            gains.append((-round(gain, TIME_DIGITS), material.songs[other]))
    return tuple(name for _, name in sorted(gains)[:MOST_OPENED])
