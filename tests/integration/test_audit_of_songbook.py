"""The audit of the songbook, against its truth file."""

from itertools import combinations

import pytest

from melodex.finder.collection.demo import add_songbook
from melodex.finder.collection.filters import song_filter
from melodex.finder.teaching.repertoire_audit import audit
from melodex.index.store import open_catalogue
from tests.songbook import TRUTH


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory):
    with open_catalogue(tmp_path_factory.mktemp("book") / "songs.db", create=True) as opened:
        add_songbook(opened)
        yield opened


@pytest.fixture(scope="module")
def audited(catalogue):
    return audit(catalogue, by="term")


def test_the_songs_alike_are_tunes_and_their_arrangements(audited):
    # A warm-up that is one part of a tune is no version of it.
    alike = [{pair.title_a, pair.title_b} for pair in audited.overview.near_duplicates]
    arranged = [{pair["plain"], pair["rolled"]} for pair in TRUTH["pair"]]
    assert sorted(map(sorted, alike)) == sorted(map(sorted, arranged))
    assert all((pair.expected_by_chance or 0) < 0.1 for pair in audited.overview.near_duplicates)


def test_about_half_of_the_pairs_into_which_one_lick_was_planted_share_passages(audited):
    # Measured: .50. All those that have it as it is do; a lick that is held, split, ornamented or
    # rolled in either song often scores less than a passage needs.
    songs_of_lick: dict[str, set[str]] = {}
    for place in TRUTH["place"]:
        songs_of_lick.setdefault(place["lick"], set()).add(place["song"])
    planted = {
        frozenset(pair) for songs in songs_of_lick.values() for pair in combinations(songs, 2)
    }
    told = {frozenset((pair.title_a, pair.title_b)) for pair in audited.overview.pairs}
    assert len(planted & told) >= 0.49 * len(planted)


def test_every_song_is_alone_or_in_a_pair_and_never_both(audited):
    for overview in (audited.overview, *(group.overview for group in audited.groups)):
        paired = {song for pair in overview.pairs for song in (pair.song_a, pair.song_b)}
        alone = {song.song for song in overview.alone}
        assert not paired & alone
        assert paired | alone == {song.song for song in overview.songs}


def test_the_terms_of_the_songbook_hold_all_its_songs(audited):
    assert [group.value for group in audited.groups] == ["all", "autumn", "spring", "winter"]
    counted = sum(len(group.overview.songs) for group in audited.groups)
    assert counted == len(audited.overview.songs)


def test_a_lick_taught_once_in_a_term_is_taught_often_in_the_year(audited):
    often = {use.lick for use in audited.overview.taught_often}
    once = [use for group in audited.groups for use in group.overview.taught_once]
    assert once
    assert {use.lick for use in once} <= often


def test_a_repertoire_teaches_all_of_itself_and_more_songs_teach_more(catalogue):
    easy = song_filter(level="1-2")

    def covered(level):
        coverage = audit(catalogue, easy, against=song_filter(level=level)).coverage
        assert coverage is not None
        return coverage

    itself, hard, most = (covered(level) for level in ("1-2", "6", "2-6"))
    assert (itself.share, itself.missing) == (1.0, ())
    assert 0 < hard.covered < most.covered < itself.beats


def test_the_songbook_has_47_tunes_in_57_songs(audited):
    # Ten of its tunes are there in rolls as well.
    assert (len(audited.overview.songs), len(audited.overview.tunes)) == (57, 47)


def test_two_terms_side_by_side_have_the_licks_that_the_truth_file_plants_in_both(catalogue):
    comparison = audit(catalogue, by="term", between=("autumn", "spring")).comparison
    assert comparison is not None
    assert not comparison.common_tunes
    assert comparison.common_licks
    tunes = (*comparison.tunes_only_a, *comparison.tunes_only_b)
    assert len({song for tune in tunes for song in tune.songs}) == 37
