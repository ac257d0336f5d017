"""Rank songs by how much a student can already play, and list the songs each one prepares for."""

from collections.abc import Collection, Container, Sequence

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

MOST_OPENED = 5  # songs listed that a song prepares for
HALF = 0.5
LONGEST_STEP = 4  # measures: the most that one lesson can teach


def closest_songs(
    material: Material,
    known: Known,
    *,
    among: Collection[int],
    versions: Container[int] = (),
    limit: int | None,
) -> list[int]:
    """Return the songs with the largest known share below 1; ties by the least new time.

    Versions of known tunes come last, since they are not new tunes.

    Parameters
    ----------
    among : collection of int
        The songs to rank, by index in the material.
    versions : container of int
        Songs that are versions of a known tune.
    limit : int or None
        Maximum number of songs; None for all.
    """
    songs = np.repeat(np.arange(len(material.songs)), np.diff(material.first_parts))
    everything = np.bincount(songs, material.durations, len(material.songs))
    new = np.bincount(songs, material.durations * ~known, len(material.songs))
    shares = 1 - new / np.maximum(everything, 10.0**-TIME_DIGITS)
    ranked = sorted(
        (song for song in among if new[song] > 0 or not everything[song]),
        key=lambda song: (
            song in versions,
            -shares[song] if everything[song] else 0.0,
            new[song],
            song,
        ),
    )
    return ranked[:limit]


def next_song(
    material: Material,
    song: int,
    known: Known,
    licks: Sequence[tuple[str, range]],
    taught: Passages,
    *,
    version_of: Sequence[str] = (),
) -> NextSong:
    """Describe what is needed to learn a song, and what it contributes.

    Parameters
    ----------
    licks : sequence of (name, parts)
        The licks in the song.
    taught : shape (n_passages, 6)
        The passages that the song teaches, as ``Material.passages``.
    version_of : sequence of str
        Ids of known songs that are versions of the same tune.
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
        version_of=tuple(version_of),
    )


def smallest_step(material: Material, song: int, known: Known, taught: Passages) -> NextStep | None:
    """Return the fewest consecutive measures after which half of a song, or all of it, is known.

    If more than ``LONGEST_STEP`` are needed, the measures after which most is known.
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
    """Return the share of a song known after learning some measures and all similar ones."""
    measures = material.measures[material.parts_of(song)]
    learned = (measures >= span[0]) & (measures <= span[1])
    then = known[material.parts_of(song)] | learned
    for row in taught[taught[:, SONG] == song]:
        if learned[row[SOURCE_FIRST] : row[SOURCE_END]].all():
            then[row[FIRST] : row[END]] = True
    return share_of_song(material, song, with_equal_in_song(material, song, then)) or 0.0


def _opened(material: Material, song: int, known: Known, taught: Passages) -> tuple[str, ...]:
    """Return the songs whose known share grows most when a song is learned."""
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
