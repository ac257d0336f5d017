"""Techniques used in tab, compared with those that a person sees in it."""

import csv

import pytest

from melodex.features.playing.rolls import PINCH
from melodex.features.playing.technique_names import technique_key
from melodex.features.playing.techniques import techniques_of
from melodex.model.tablature import Tab
from melodex.parsing.tab.text_tab import read_text_tab
from tests.songbook import SONGBOOK
from tests.tabs import rolled_songs, small_tab, tab_of

# Read by eye from the printed tabs.
BY_EYE = {
    "Marrow Patch": {"pinch": {1, 2, 3, 4, 5, 6, 7, 9, 10, 13, 14, 15}},
    "The Jam Shelf": {
        "backward roll": {11, 12},
        "forward-reverse roll": {4},
        "hammer-on": {7, 9, 10, 15},
        "pull-off": {2, 6, 7, 15},
        "pinch": {8, 16},
    },
    "The Ninth Step": {
        "alternating-thumb roll": {1, 2, 3, 4, 5, 6, 7, 12, 15},
        "hammer-on": {5},
        "pinch": {8, 11, 16},
    },
    "Turning for Home (rolled)": {
        "backward roll": {7},
        "hammer-on": {8},
        "pinch": {9},
        "pull-off": {1, 5, 6, 11, 13, 14},
        "up the neck": {12, 13},
    },
}
TUNING = {"open G tuning": set[int]()}


def measures_by_technique(tab: Tab) -> dict[str, set[int]]:
    """Return where each technique is used."""
    return {use.technique: set(use.measures) for use in techniques_of(tab)}


@pytest.mark.parametrize("title", BY_EYE)
def test_the_songbooks_tabs_use_what_a_reader_sees(title):
    (song,) = (song for song in rolled_songs() if song.title == title)
    assert measures_by_technique(tab_of(song)) == BY_EYE[title] | TUNING


def test_rolls_are_found_in_the_measures_that_were_labelled_by_hand():
    # Goal: 95 in 100, as for the rolls themselves. Pinches follow another rule.
    with (SONGBOOK / "roll_labels.csv").open(encoding="utf-8", newline="") as file:
        labels = [row for row in csv.DictReader(file) if row["kind"] not in {PINCH, "none"}]
    found = {song.title: measures_by_technique(tab_of(song)) for song in rolled_songs()}
    right = [
        int(row["measure"]) in found[row["song"]].get(f"{row['kind']} roll", ()) for row in labels
    ]
    assert len(labels) > 50
    assert sum(right) >= 0.95 * len(right)


def test_slurs_and_high_frets_are_found_on_every_string():
    # 2h4 in measure 1; 2p0 and fret 10 of the short string in measure 2.
    assert measures_by_technique(small_tab()) == TUNING | {
        "hammer-on": {1},
        "pull-off": {2},
        "up the neck": {2},
    }


def test_a_slide_a_choke_a_tuning_and_a_capo_are_techniques():
    text = """\
Tuning: double C
Capo: 2
Metre: 4/4
Spacing: 2 characters = 1/8

D|-----------------|
C|-----------------|
G|-2s4---3b--------|
C|-----------------|
g|-----------------|
"""
    reading = read_text_tab(text, "sliding.tab", "")
    assert measures_by_technique(tab_of(reading.songs[0])) == {
        "slide": {1},
        "choke": {1},
        "double C tuning": set(),
        "capo": set(),
    }


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Forward Reverse", "forward-reverse roll"),
        ("forward", "forward roll"),
        ("square roll", "alternating-thumb roll"),
        ("hammer on", "hammer-on"),
        ("sawmill", "G modal tuning"),
        ("double c", "double C tuning"),
        ("Up-the-Neck", "up the neck"),
    ],
)
def test_a_technique_may_be_typed_in_several_ways(typed, name):
    assert technique_key(typed) == technique_key(name)


def test_a_roll_is_not_taken_for_another_whose_name_begins_alike():
    assert technique_key("forward") != technique_key("forward-reverse")
