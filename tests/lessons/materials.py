"""Hypothesis strategies for materials to plan with, and for limits."""

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from melodex.lessons.knowledge import Known, nothing_known, with_equal_measures
from melodex.model.results.lesson import Limits
from melodex.model.results.material import Material
from tests.lessons.lettered import PARTS, lettered

THEMES = ("rain", "sun")
LENGTHS = (1, 2, 4, 5)  # measures of a song, so that shares of it are whole parts of 10,000


@st.composite
def materials(draw: st.DrawFn, *, most_songs: int = 5) -> Material:
    """Songs of a few measures out of eight, levels from 1 to 4, and seldom two of one tune.

    Half of them share passages at random besides, as likeness is not transitive.
    """
    count = draw(st.integers(1, most_songs))
    words = [
        "".join(draw(st.lists(st.sampled_from("abcdefgh"), min_size=length, max_size=length)))
        for length in draw(st.lists(st.sampled_from(LENGTHS), min_size=count, max_size=count))
    ]
    material = lettered(
        {f"song-{n}": word for n, word in enumerate(words)},
        levels=draw(st.lists(st.integers(1, 4), min_size=count, max_size=count)),
        tunes=[n - (n > 0 and draw(st.integers(0, 5)) == 0) for n in range(count)],
    )
    facts = st.frozensets(st.sampled_from(THEMES))
    themes = [draw(facts) for _ in range(count - 1)]
    material = replace(material, facts=(frozenset(THEMES), *themes))
    if draw(st.booleans()):
        return material
    rows = [draw(_passages(words)) for _ in range(draw(st.integers(0, 6)))]
    apart = [row for row in rows if row[0] != row[3]]
    return replace(material, passages=np.array(apart, np.int32).reshape(-1, 6))


@st.composite
def _passages(draw: st.DrawFn, words: list[str]) -> tuple[int, ...]:
    places: list[int] = []
    for song in (draw(st.integers(0, len(words) - 1)) for _ in range(2)):
        first, last = sorted(draw(st.integers(0, PARTS * len(words[song]) - 1)) for _ in range(2))
        places += [song, first, last + 1]
    return tuple(places)


@st.composite
def known_of(draw: st.DrawFn, material: Material) -> Known:
    """Draw some known parts, the first beat of a measure never, so that no song is known wholly."""
    some = draw(st.sets(st.integers(0, len(material.durations) - 1)))
    known = nothing_known(material)
    known[[part for part in some if material.positions[part] > 0]] = True
    return with_equal_measures(material, known)


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
        most_new=seldom(st.integers(2, 16)),
        must_come=() if must is None else (must,),
        before=() if pair is None else (pair,),
        first=seldom(songs),
        last=seldom(songs),
        kept=() if kept is None else (kept,),
        in_turn=seldom(st.lists(st.sampled_from(THEMES), min_size=1, max_size=3)) or (),
    )
