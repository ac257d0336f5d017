"""Materials to plan with: one built by hand, and hypothesis strategies for random ones."""

from collections.abc import Mapping, Sequence

import numpy as np
from hypothesis import strategies as st

from melodex.model.lesson import Limits
from melodex.model.material import Material

LONGEST_LICK = 3  # measures


def material_of(
    songs: Mapping[str, Sequence[str]],
    *,
    singles: Sequence[int] | None = None,
    levels: Sequence[float | None] | None = None,
    lengths: Mapping[str, int] | None = None,
) -> Material:
    """Build a material: each song has its licks one after the other, then its single measures.

    Parameters
    ----------
    songs : mapping of str to sequence of str
        Each song's id and the names of its licks.
    singles : sequence of int
        How many single measures each song has; none without it.
    lengths : mapping
        Measures of a lick; one without it.
    """
    licks = sorted({lick for names in songs.values() for lick in names})
    length = [(lengths or {}).get(lick, 1) for lick in licks]
    places: list[tuple[int, int, int, int]] = []
    measures: list[tuple[int, int, int]] = []
    for number, names in enumerate(songs.values()):
        end = 0
        for lick in map(licks.index, names):
            places.append((number, lick, end + 1, end + length[lick]))
            end += length[lick]
        end += singles[number] if singles else 0
        measures += [(number, measure, measure) for measure in range(1, end + 1)]
    return Material(
        songs=tuple(songs),
        titles=tuple(song.title() for song in songs),
        levels=tuple(levels or [None] * len(songs)),
        licks=tuple(licks),
        lick_measures=np.array(length, np.int32),
        places=np.array(places, np.int32),
        measures=np.array(measures, np.int32),
    )


@st.composite
def materials(draw: st.DrawFn, *, most_songs: int = 8) -> Material:
    """Songs with a few licks out of eight, a few single measures, and levels from 1 to 4."""
    count = draw(st.integers(1, most_songs))
    names = [f"lick-{n}" for n in range(8)]
    licks = st.lists(st.sampled_from(names), max_size=4, unique=True)
    return material_of(
        {f"song-{n}": draw(licks) for n in range(count)},
        singles=draw(st.lists(st.integers(0, 4), min_size=count, max_size=count)),
        levels=draw(st.lists(st.integers(1, 4), min_size=count, max_size=count)),
        lengths={name: draw(st.integers(1, LONGEST_LICK)) for name in names},
    )


@st.composite
def limits_for(draw: st.DrawFn, material: Material) -> Limits:
    """Draw limits, often none of a kind; together they may conflict."""
    songs = st.sampled_from(material.songs)
    count = len(material.songs)

    def seldom(values: st.SearchStrategy):
        return draw(st.none() | st.none() | values)

    kept = seldom(st.tuples(st.integers(1, count), songs))
    must, pair = seldom(songs), seldom(st.tuples(songs, songs).filter(lambda p: p[0] != p[1]))
    return Limits(
        lessons=seldom(st.integers(1, count)),
        level_step=seldom(st.integers(0, 2)),
        most_new=seldom(st.integers(2, 12)),
        must_come=() if must is None else (must,),
        before=() if pair is None else (pair,),
        first=seldom(songs),
        last=seldom(songs),
        kept=() if kept is None else (kept,),
    )
