"""Which matches are likely coincidence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.model.results.coincidence import (
    are_only_coincidences,
    is_likely_coincidence,
    without_coincidences,
)
from melodex.model.results.phrase import (
    NearSong,
    OtherPlaces,
    SharedMaterial,
    SharedPhrase,
    SongShare,
)

LEVELS = st.none() | st.floats(0, 1e6)


def song_at(level):
    return NearSong("weir", "Weir", 0.5, level, 0)


@pytest.mark.parametrize(("level", "expected"), [(0.0, False), (1.0, False), (1.01, True)])
def test_a_match_above_a_level_of_1_is_likely_coincidence(level, expected):
    assert is_likely_coincidence(level) is expected


def test_an_unknown_level_is_not_called_coincidence():
    assert not is_likely_coincidence(None)
    assert not are_only_coincidences([song_at(2.0), song_at(None)])


@given(levels=st.lists(LEVELS))
def test_what_is_left_without_coincidences_holds_none_and_nothing_else_is_lost(levels):
    found = [song_at(level) for level in levels]
    kept = without_coincidences(found)
    assert not any(is_likely_coincidence(each.expected_by_chance) for each in kept)
    assert len(found) - len(kept) == sum(map(is_likely_coincidence, levels))
    assert are_only_coincidences(found) == (found != [] and kept == [])


def test_a_phrase_that_is_left_out_takes_its_notes_and_other_places_along():
    share = SongShare("weir", "Weir", 9, 20, 2, 4)
    phrases = tuple(
        SharedPhrase(n, n, n, n, 0, 0.9, level, 6, "as written")
        for n, level in ((1, 4.0), (2, 0.1))
    )
    shared = SharedMaterial(
        phrases,
        alignments=(((0, 0),), ((7, 7),)),
        other_places=(OtherPlaces(((3, 3),), ()), OtherPlaces((), ())),
        share_a=share,
        share_b=share,
        form=(),
    )
    kept = shared.without_coincidences()
    assert kept.phrases == phrases[1:]
    assert kept.alignments == (((7, 7),),)
    assert kept.other_places == (OtherPlaces((), ()),)
    assert kept.share_a == share
