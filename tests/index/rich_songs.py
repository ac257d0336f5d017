"""Random songs that use every field of a song, and the exact comparison of two songs."""

from dataclasses import fields, is_dataclass

import numpy as np
from hypothesis import strategies as st
from hypothesis.extra import numpy as st_numpy

from melodex.model.melody import AttachedNotes, Melody
from melodex.model.song import (
    BarLine,
    ChordSymbol,
    MeasureGrid,
    MetreChange,
    Song,
    Source,
    Syllable,
    Touch,
)
from tests.strategies import keys, melodies, metres

_TEXTS = st.text(max_size=12)
_TIMES = st.floats(0, 1000)
_FIRST_LINES = st.none() | st.integers(1, 90_000)


def _lists(items: st.SearchStrategy[object]) -> st.SearchStrategy[tuple[object, ...]]:
    return st.lists(items, max_size=3).map(tuple)


@st.composite
def _attached_notes(draw: st.DrawFn, n_notes: int) -> AttachedNotes:
    count = draw(st.integers(0, 4))
    return AttachedNotes(
        notes=np.sort(draw(st_numpy.arrays(np.int32, count, elements=st.integers(0, n_notes)))),
        pitches=draw(st_numpy.arrays(np.int16, count, elements=st.integers(0, 127))),
        strings=draw(st_numpy.arrays(np.int8, count, elements=st.integers(0, 5))),
        frets=draw(st_numpy.arrays(np.int8, count, elements=st.integers(-1, 24))),
    )


@st.composite
def _rich_melodies(draw: st.DrawFn) -> Melody:
    plain = draw(melodies(min_notes=0, max_notes=12))
    count = len(plain)
    return Melody(
        pitches=plain.pitches,
        onsets=plain.onsets,
        durations=plain.durations,
        measures=draw(st_numpy.arrays(np.int32, count)),
        beat_strengths=draw(st_numpy.arrays(np.float64, count, elements=st.floats(0, 1))),
        strings=draw(st_numpy.arrays(np.int8, count, elements=st.integers(0, 5))),
        frets=draw(st_numpy.arrays(np.int8, count, elements=st.integers(-1, 24))),
        phrase_ends=draw(st_numpy.arrays(np.int32, st.integers(0, 3))),
        chord_tones=draw(_attached_notes(count)),
        grace_notes=draw(_attached_notes(count)),
    )


@st.composite
def _measure_grids(draw: st.DrawFn) -> MeasureGrid:
    count = draw(st.integers(0, 5))
    return MeasureGrid(
        onsets=draw(st_numpy.arrays(np.float64, count, elements=_TIMES)),
        numbers=draw(st_numpy.arrays(np.int32, count)),
    )


def rich_songs(*, file: str = "evening_class.abc") -> st.SearchStrategy[Song]:
    sections = st_numpy.arrays(np.float64, st.tuples(st.integers(0, 3), st.just(2)))
    return st.builds(
        Song,
        title=_TEXTS,
        melody=_rich_melodies(),
        measures=_measure_grids(),
        sections=sections.filter(lambda stretches: not np.isnan(stretches).any()),
        source=st.builds(Source, file=st.just(file), tune=_TEXTS, line=_FIRST_LINES),
        other_titles=_lists(_TEXTS),
        collection=_TEXTS,
        key=st.none() | keys(),
        metre=metres(),
        metre_changes=_lists(st.builds(MetreChange, onset=_TIMES, metre=metres())),
        tempo=st.none() | st.floats(1, 400),
        chords=_lists(st.builds(ChordSymbol, onset=_TIMES, text=_TEXTS)),
        bar_lines=_lists(st.builds(BarLine, onset=_TIMES, style=_TEXTS, ending=_TEXTS)),
        lyrics=_lists(st.builds(Syllable, note=st.integers(0, 99), text=_TEXTS)),
        tuning=_lists(st.integers(0, 127)),
        touches=_lists(
            st.builds(
                Touch,
                note=st.integers(0, 99),
                string=st.integers(0, 9),
                left_hand=_TEXTS,
                finger=_TEXTS,
            )
        ),
        remarks=_lists(_TEXTS),
    )


def assert_identical(one: object, other: object) -> None:
    """Compare two values exactly, records field by field."""
    assert type(one) is type(other)
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        assert one.dtype == other.dtype
        np.testing.assert_array_equal(one, other, strict=True)
    elif is_dataclass(one):
        for field in fields(one):
            assert_identical(getattr(one, field.name), getattr(other, field.name))
    elif isinstance(one, tuple) and isinstance(other, tuple):
        assert len(one) == len(other)
        for item, twin in zip(one, other, strict=True):
            assert_identical(item, twin)
    else:
        assert one == other
