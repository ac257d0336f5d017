"""Families of licks in small books made for the purpose."""

from itertools import islice

import numpy as np
import pytest

from melodex.phrases.families import families_of
from tests.blocks_of_songs import blocks_of

LICK = [60, 67, 65, 64, 62, 64, 57, 59, 60, 62]
random = np.random.default_rng(11)
FILLERS = [random.integers(50, 85, 40).tolist() for _ in range(12)]


def moved(pitches, half_steps):
    return [pitch + half_steps for pitch in pitches]


def with_lick(filler, half_steps=0):
    return [*FILLERS[filler][:20], *moved(LICK, half_steps), *FILLERS[filler][20:]]


def families_among(songs, wanted=None, limit=20):
    arrays = blocks_of(*songs).songs
    wanted = np.ones(len(arrays.pitches), np.bool_) if wanted is None else wanted(arrays)
    return list(islice(families_of(arrays, np.arange(len(songs)), wanted), limit))


def told(families):
    return [
        (
            np.diff(family.lick.pitches).tolist(),
            [(song, [p.transposition for p in passages]) for song, passages in family.places],
        )
        for family in families
    ]


BOOK = [with_lick(0), FILLERS[1], with_lick(2, 5), with_lick(3, -2), FILLERS[4]]


def test_a_lick_in_three_keys_is_one_family_with_its_three_places():
    ((intervals, places),) = told(families_among(BOOK))
    assert intervals == np.diff(LICK).tolist()
    assert [song for song, _ in places] == [0, 2, 3]
    (first,), (second,), (third,) = (moves for _, moves in places)
    assert (second - first, third - first) == (5, -2)  # as they were moved when the book was made


def test_a_variant_belongs_to_the_family():
    variant = [*LICK[:4], LICK[4] + 1, *LICK[5:]]
    (family,) = families_among([*BOOK, [*FILLERS[5], *variant]])
    assert [song for song, _ in family.places] == [0, 2, 3, 5]


def changed(*notes):
    """Raise some notes of the lick by a half-step."""
    return [pitch + (note in notes) for note, pitch in enumerate(LICK)]


def family_beside(*notes):
    """Find the family in the book and a song that has the lick with some notes changed."""
    (family,) = families_among([*BOOK, [*FILLERS[5], *changed(*notes)]])
    return family


def test_a_place_belongs_to_the_family_from_half_of_the_licks_own_score_on():
    # A note a half-step off costs nearly a tenth of the ten notes.
    assert [song for song, _ in family_beside(2, 4, 6, 7).places] == [0, 2, 3, 5]
    half = [*FILLERS[5], *LICK[:5], 90, 35, 95, 30, 92]
    (family,) = families_among([*BOOK, half])
    assert [song for song, _ in family.places] == [0, 2, 3]


def test_a_tune_adds_to_the_evidence_the_more_the_closer_it_is_and_none_if_it_is_not_close():
    exact, close, farther, far = (
        family_beside(*notes).evidence for notes in ((), (4,), (4, 7), (2, 4, 7))
    )
    assert exact - close > 1  # a tenth of what a run of nine steps proves, in bits
    assert close > farther == far


def test_versions_of_a_tune_count_as_one_tune_of_the_family():
    version = [*with_lick(0)[:45], 71, 72]
    (family,) = families_among([*BOOK, version])
    assert [song for song, _ in family.places] == [0, 2, 3, 5]
    assert family.tunes == 3


def test_transposing_the_whole_book_changes_no_family():
    assert told(families_among([moved(song, 7) for song in BOOK])) == told(families_among(BOOK))


def test_an_unrelated_song_changes_no_place():
    assert told(families_among([*BOOK, FILLERS[6]])) == told(families_among(BOOK))


def test_the_order_of_songs_changes_only_their_numbers():
    backwards = told(families_among(BOOK[::-1]))
    assert [intervals for intervals, _ in backwards] == [np.diff(LICK).tolist()]


MAJOR = np.add.outer(12 * np.arange(11), [0, 2, 4, 5, 7, 9, 11]).ravel()
# Tunes as tunes go: mostly by step, now and then a note again or a third.
WALKS = [
    MAJOR[
        28 + np.cumsum(random.choice([-2, -1, 0, 1, 2], 40, p=[0.1, 0.3, 0.2, 0.3, 0.1]))
    ].tolist()
    for _ in range(12)
]


@pytest.mark.parametrize(
    "figure",
    [[60] * 10, [60, 62, 64, 65, 67, 69, 71, 72, 71, 69, 67, 65], [64, 62, 60, 64, 62, 60]],
    ids=["repeated note", "scale", "cadence"],
)
def test_what_every_tune_does_is_no_lick(figure):
    alike = [[*walk[:15], *figure, *walk[15:]] for walk in WALKS[:4]]
    licks = [intervals for intervals, _ in told(families_among([*alike, *WALKS[4:]]))]
    assert np.diff(figure).tolist() not in licks


def test_a_lick_that_versions_of_one_tune_share_is_no_recurring_one():
    assert told(families_among([FILLERS[0], moved(FILLERS[0], 3), FILLERS[1]])) == []


def test_the_lick_stands_where_it_is_wanted_and_its_other_places_anywhere():
    def only_song_two(arrays):
        wanted = np.zeros(len(arrays.pitches), np.bool_)
        wanted[arrays.notes_of(2)] = True
        return wanted

    (family,) = families_among(BOOK, wanted=only_song_two)
    assert family.song == 2
    assert [song for song, _ in family.places] == [0, 2, 3]


def test_nowhere_wanted_means_no_family():
    assert families_among(BOOK, wanted=lambda arrays: np.zeros(len(arrays.pitches), np.bool_)) == []


def test_a_shorter_list_is_the_beginning_of_a_longer_one():
    second = [80, 73, 75, 70, 77, 72, 74, 69]
    book = [[*song, *second] if number in (1, 4) else song for number, song in enumerate(BOOK)]
    both = told(families_among(book))
    assert len(both) == 2
    assert told(families_among(book, limit=1)) == both[:1]


def test_a_lick_that_more_tunes_have_nearly_comes_before_one_that_fewer_have_exactly():
    second = [80, 73, 75, 70, 77, 72, 74, 69, 76, 71]
    tails = {1: second, 4: second}
    for number, (note, half_steps) in {5: (5, 1), 6: (5, -1), 7: (6, 1)}.items():
        tails[number] = [*second[:note], second[note] + half_steps, *second[note + 1 :]]
    songs = [*BOOK, *FILLERS[5:8]]
    first, other = told(
        families_among([[*song, *tails.get(number, [])] for number, song in enumerate(songs)])
    )
    assert first[0] == np.diff(second).tolist()
    assert other[0] == np.diff(LICK).tolist()


def test_what_lies_within_the_places_of_a_better_lick_is_no_lick_of_its_own():
    # The first half, which all seven tunes have, proves more than the whole, which two have; with
    # its variants the whole proves more.
    whole = [60, 67, 65, 64, 62, 64, 57, 59, 60, 69, 55, 62, 71, 58]
    songs = []
    for number, (note, half_steps) in enumerate(
        [(0, 0), (0, 0), (6, 1), (6, -1), (9, 1), (9, -1), (6, 2)]
    ):
        variant = [*whole[:note], whole[note] + half_steps, *whole[note + 1 :]]
        songs.append([*FILLERS[number][:20], *variant, *FILLERS[number][20:]])
    ((intervals, places),) = told(families_among(songs))
    assert intervals == np.diff(whole).tolist()
    assert [song for song, _ in places] == list(range(7))


@pytest.mark.parametrize("songs", [[], [[60]], [LICK], [[], LICK]])
def test_a_book_of_no_song_or_one_has_no_family(songs):
    assert families_among(songs) == []
