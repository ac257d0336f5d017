"""The licks that recur in the songbook, against its truth file."""

import pytest
from mir_eval import pattern

from melodex.alignment.forms import INSIDE_A_ROLL
from melodex.finder.collection.demo import add_songbook
from melodex.finder.keeping_licks import listed_lick
from melodex.finder.recurring_licks import recurring_licks
from melodex.index.store import open_catalogue
from melodex.parsing.lick_text import lick_from_names
from tests.licks_truth import read_book
from tests.songbook import TRUTH

# The goals of the project for its own songbook.
LEAST_RECALL, LEAST_PRECISION = 0.9, 0.8
FIRST = 10


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory):
    with open_catalogue(tmp_path_factory.mktemp("book") / "songs.db", create=True) as opened:
        add_songbook(opened)
        yield opened


@pytest.fixture(scope="module")
def book(catalogue):
    return read_book(catalogue)


def test_the_planted_licks_are_established(book):
    # Recall asks of each planted lick how much of one of its places some listed lick has.
    _, _, recall = pattern.establishment_FPR(book.planted, book.found)
    assert recall >= LEAST_RECALL


def test_what_is_listed_was_planted_or_judged_to_be_something_that_recurs(book):
    # Precision asks the same of each listed lick. Beside the eight planted licks the songbook has
    # recurrences that nobody planted; those that its truth file calls real are right answers too.
    _, precision, _ = pattern.establishment_FPR([*book.planted, *book.recurring], book.found)
    assert precision >= LEAST_PRECISION


def test_no_decoy_is_among_the_first_ten(book):
    decoys = {
        (decoy["song"], measure)
        for decoy in TRUTH["decoy"]
        for measure in range(decoy["first_measure"], decoy["last_measure"] + 1)
    }
    for family in book.families[:FIRST]:
        title, first, last = book.representative(family)
        assert not decoys & {(title, measure) for measure in range(first, last + 1)}


def test_the_first_ten_hold_no_more_than_three_decoys(catalogue):
    # A place that is both, such as a planted lick that ends in a stock cadence, is a right one. The
    # three are near-misses: two notes change places, a major scale stands for a minor third.
    def measures_of(places):
        return {
            (place["song"], measure)
            for place in places
            for measure in range(place["first_measure"], place["last_measure"] + 1)
        }

    planted = measures_of(TRUTH["place"])
    listed = {
        (place.title, measure)
        for lick in recurring_licks(catalogue, limit=FIRST)
        for place in lick.occurrences
        for measure in range(place.first_measure, place.last_measure + 1)
    }
    found = [decoy for decoy in TRUTH["decoy"] if (measures_of([decoy]) - planted) & listed]
    assert len(found) <= 3


def test_rolled_arrangements_join_the_licks_of_their_plain_tunes(catalogue):
    rolled = [
        place
        for lick in recurring_licks(catalogue)
        for place in lick.occurrences
        if place.form == INSIDE_A_ROLL.name
    ]
    assert {"Apples on the Sill (rolled)", "The Ferryman's Bell (rolled)"} <= {
        place.title for place in rolled
    }


def test_the_same_book_gives_the_same_list(catalogue):
    assert recurring_licks(catalogue, limit=5) == recurring_licks(catalogue, limit=5)


def test_versions_of_a_tune_count_once(catalogue):
    for lick in recurring_licks(catalogue):
        titles = {place.title.removesuffix(" (rolled)") for place in lick.occurrences}
        assert lick.tunes <= len(titles) <= lick.songs


def test_a_lick_of_which_a_tune_has_two_versions_is_in_fewer_tunes_than_songs(catalogue):
    (bell,) = [
        lick for lick in recurring_licks(catalogue) if lick.lick == "the-ferrymans-bell-m5-6"
    ]
    titles = {place.title.removesuffix(" (rolled)") for place in bell.occurrences}
    assert bell.tunes == len(titles) < bell.songs


def test_licks_begin_on_a_strong_beat_or_with_a_pickup_to_one(catalogue):
    # The downbeat, and the middle of a measure that can be halved. Common practice, no source.
    strong = {"4/4": {1, 3}, "2/2": {1, 2}, "6/8": {1, 4}, "2/4": {1, 2}, "3/4": {1}}
    licks = recurring_licks(catalogue)
    on_a_beat = [
        lick.first_beat in strong[str(catalogue.song(lick.lick.rpartition("-m")[0]).metre)]
        for lick in licks
    ]
    assert sum(on_a_beat) >= 0.9 * len(licks)


def test_a_shorter_list_is_the_beginning_of_a_longer_one(catalogue):
    longer = recurring_licks(catalogue, limit=12)
    for limit in (1, 5, 11):
        assert recurring_licks(catalogue, limit=limit) == longer[:limit]


def test_every_lick_has_a_name_and_an_id_of_its_own(catalogue):
    licks = recurring_licks(catalogue, limit=None)
    assert len({lick.name for lick in licks}) == len({lick.lick for lick in licks}) == len(licks)


def test_a_lick_is_played_from_its_notes_and_rhythm_as_they_are_listed(catalogue):
    lick = recurring_licks(catalogue, limit=1)[0]
    words = [f"{note}:{value}" for note, value in zip(lick.notes, lick.rhythm, strict=True)]
    typed = lick_from_names(" ".join(words))
    listed = listed_lick(catalogue, lick.lick)
    assert typed.melody.pitches.tolist() == listed.melody.pitches.tolist()
    assert typed.melody.onsets.tolist() == listed.melody.onsets.tolist()
