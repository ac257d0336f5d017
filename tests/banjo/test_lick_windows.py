"""Where in a song a lick can be placed."""

import numpy as np
import pytest

from melodex.banjo.placing.lick_windows import position_in_measure, windows_of
from melodex.errors import MelodyError
from melodex.parsing.abc.abc_reader import read_abc
from melodex.parsing.lick_numbers import lick_from_notes
from melodex.search.query import lick_from_abc

FOUR = "X:1\nT:Stile and Ditch\nM:4/4\nL:1/4\nK:G\n"


def song(music, head=FOUR):
    (read,) = read_abc(head + music + "\n", "", collection="").songs
    return read


def lick(music, metre="4/4"):
    return lick_from_abc(f"M:{metre}\nL:1/4\nK:G\n{music}")


def begins(music, asked):
    return [window.begin for window in windows_of(song(music), asked)]


@pytest.mark.parametrize("position", [0.0, 0.5, 1.0, 2.5, 3.75])
def test_a_licks_place_in_the_measure_does_not_depend_on_the_origin_of_its_onsets(
    position,
):
    onsets = 100 + np.arange(6) * 0.75
    asked = lick_from_notes([62, 64, 67, 69, 71, 74], onsets, [0.75] * 6, position=position)
    assert position_in_measure(asked) == position


def test_a_lick_of_a_measure_fits_each_full_measure_and_no_pickup():
    assert begins("D|GABc|dBGB|A4|", lick("GBAG|")) == [1.0, 5.0, 9.0]


def test_a_lick_with_a_pickup_begins_before_the_bar_line():
    assert begins("GABc|dBGB|A4|", lick("D|GBAG|")) == [3.0, 7.0]


def test_a_pickup_of_the_song_takes_that_of_the_lick():
    assert begins("D|GABc|A4|", lick("D|GBAG|")) == [0.0, 4.0]


def test_no_repeat_sign_lies_inside_a_window():
    assert begins("GABc|dBGB:|A4|G4|", lick("GBAG|G4|")) == [0.0, 8.0]


def test_an_ending_is_not_run_into():
    assert begins("|:GABc|1 dBGB:|2 A4|G4|", lick("GBAG|G4|")) == [8.0]


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (lick("GBA|G3|", "3/4"), "The lick is in 3/4, and measure 1 of Stile and Ditch is in 4/4"),
        (lick("GBAG|G4|G4|A4|"), "lasts 16 quarter notes, and Stile and Ditch ends after 12"),
        (lick("GBAG|G4|A4|"), "without a repeat sign or an ending between"),
    ],
    ids=["another metre", "a short song", "a repeat in the way"],
)
def test_a_lick_that_fits_nowhere_is_refused_with_a_measure_and_a_next_step(asked, says):
    with pytest.raises(MelodyError, match=says) as refused:
        windows_of(song("GABc|dBGB:|A4|"), asked)
    assert "measure" in refused.value.problem
    assert refused.value.next_step


def test_a_lick_without_a_metre_begins_on_the_downbeats_of_any():
    head = FOUR.replace("4/4", "3/4")
    free = lick("GBA", "none")
    assert [window.begin for window in windows_of(song("GAB|c3|", head), free)] == [0.0, 3.0]
