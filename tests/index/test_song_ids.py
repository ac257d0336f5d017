import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.index.intake.build import add_files
from melodex.index.song_ids import LONGEST_WORD, readable_word
from tests.index.toy_reader import read_toy_file, toy_file


@pytest.mark.parametrize(
    ("title", "word"),
    [
        ("Old Mill Road", "old-mill-road"),
        ("The Drummer's Rest", "the-drummers-rest"),
        ("The Drummer\u2019s Rest", "the-drummers-rest"),
        ("Größe Wäsche", "grosse-wasche"),
        ("Søndag på Ærø", "sondag-pa-aero"),
        ("  Hop! (slow) -- No. 2 ", "hop-slow-no-2"),
        ("\u017fo \ufb01ne", "so-fine"),
        ("Песня", ""),
        ("", ""),
    ],
)
def test_a_title_becomes_plain_words_joined_by_hyphens(title, word):
    assert readable_word(title) == word


@given(title=st.text())
def test_every_title_becomes_a_word_that_is_easy_to_type(title):
    word = readable_word(title)
    assert re.fullmatch(r"([a-z0-9]+(-[a-z0-9]+)*)?", word)
    assert len(word) <= LONGEST_WORD
    assert readable_word(word) == word


def test_a_long_title_is_cut_between_words():
    assert readable_word("waltz " * 20) == "-".join(["waltz"] * 10)


def test_a_single_long_word_is_cut_all_the_same():
    assert readable_word("la" * 100) == "la" * 30


def test_songs_of_one_title_are_numbered_from_2(catalogue, tmp_path):
    file = toy_file(tmp_path / "a.toy", ["1|Waltz|60", "2|Waltz|61", "3|waltz!|62", "4||63"])
    add_files(catalogue, [file], read=read_toy_file)
    assert catalogue.titles() == [
        ("untitled", ""),
        ("waltz", "Waltz"),
        ("waltz-2", "Waltz"),
        ("waltz-3", "waltz!"),
    ]


def test_a_title_that_ends_in_a_number_takes_no_id_twice(catalogue, tmp_path):
    file = toy_file(
        tmp_path / "a.toy", ["1|Waltz 2|60", "2|Waltz|61", "3|Waltz|62", "4|Waltz 2|63"]
    )
    add_files(catalogue, [file], read=read_toy_file)
    assert catalogue.song_ids() == ["waltz", "waltz-2", "waltz-2-2", "waltz-3"]


def test_the_id_of_a_removed_song_is_free_again(catalogue, tmp_path):
    file = toy_file(tmp_path / "a.toy", ["1|Waltz|60", "2|Waltz|61"])
    add_files(catalogue, [file], read=read_toy_file)
    catalogue.remove("waltz")
    other = toy_file(tmp_path / "b.toy", ["1|Waltz|62"])
    add_files(catalogue, [other], read=read_toy_file)
    assert catalogue.entry("waltz").file == other.shown_as
