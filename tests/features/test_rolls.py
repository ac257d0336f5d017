"""Recognising right-hand rolls."""

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.playing.rolls import roll_of, rolls_of
from melodex.parsing.tab.text_tab import read_text_tab
from tests.songbook import SONGBOOK
from tests.tabs import rolled_songs, small_tab, tab_of

with (SONGBOOK / "roll_labels.csv").open(encoding="utf-8", newline="") as lines:
    LABELS = list(csv.DictReader(lines))


def single(text):
    return [(int(string),) for string in text]


# Common practice, no source: the strings with which each roll is taught.
@pytest.mark.parametrize(
    ("strings", "kind"),
    [
        ("32132132", "forward"),
        ("43143143", "forward"),
        ("53153153", "forward"),
        ("21521521", "forward"),
        ("12512512", "backward"),
        ("13513513", "backward"),
        ("32151231", "forward-reverse"),
        ("42151241", "forward-reverse"),
        ("32514251", "alternating-thumb"),
        # In waltzes and jigs.
        ("321521", "forward"),
        ("215215", "forward"),
        ("125125", "backward"),
        ("513513", "backward"),
        ("321512", "forward-reverse"),
        ("431513", "forward-reverse"),
        ("325142", "alternating-thumb"),
        ("425132", "alternating-thumb"),
        ("332211", "none"),
        ("121212", "none"),
        ("33333333", "none"),
        ("12345123", "none"),
    ],
)
def test_a_roll_is_recognised_by_its_strings(strings, kind):
    assert roll_of(single(strings)) == kind


@given(
    strings=st.sampled_from(["3213213", "1251251", "1351351"]),
    last=st.sets(st.integers(1, 5), min_size=1, max_size=2),
)
def test_the_last_note_of_a_roll_may_lead_on_with_any_finger(strings, last):
    known = {"3213213": "forward"}
    assert roll_of([*single(strings), tuple(last)]) == known.get(strings, "backward")


@given(strings=st.lists(st.integers(1, 5), max_size=12))
def test_only_six_or_eight_notes_are_a_roll(strings):
    if len(strings) not in {6, 8}:
        assert roll_of([(string,) for string in strings]) == "none"


# Labelled by hand: a melody note is pinched with the roll's string, and the roll continues.
@pytest.mark.parametrize(
    ("strings", "kind"),
    [
        # The melody on string 1, with the thumb's drone.
        ([(1, 5), (2,), (1,), (5,), (2,), (1,), (5,), (1,)], "forward"),
        # The melody in the thumb on string 3, with the middle finger's string 1.
        ([(3, 1), (2,), (5,), (1,), (2,), (5,), (1,), (2,)], "backward"),
        ([(3,), (2,), (1,), (5,), (1, 3), (2,), (3,), (1,)], "forward-reverse"),
        ([(1, 5), (2,), (5,), (1,), (4, 1), (2,), (5,), (1,)], "alternating-thumb"),
        ([(3, 1), (2,), (5,), (1,), (4, 1), (2,), (5, 1), (1,)], "alternating-thumb"),
        # Six notes, the melody in the thumb and on string 1.
        ([(3, 1), (2,), (1,), (5,), (2,), (1,)], "forward"),
        ([(1, 5), (2,), (5,), (1,), (2,), (5,)], "backward"),
        ([(4,), (2, 1), (5,), (1,), (3,), (2,)], "alternating-thumb"),
        ([(3,), (3,), (1,), (5,), (2,), (1,)], "none"),
        # The index finger's string is missing, whatever sounds with the thumb's.
        ([(1, 5), (5,), (1,), (5,), (2,), (1,), (5,), (1,)], "none"),
        ([(3, 1), (2,), (2,), (1,), (4,), (2,), (5,), (1,)], "none"),
        # String 3 twice in a row would need the thumb and the index finger on it.
        ([(3, 1), (3,), (1,), (5,), (3,), (1,), (5,), (1,)], "none"),
        ([(3, 1), (3,), (1,), (3,), (2,), (1,), (5,), (1,)], "none"),
    ],
)
def test_a_melody_note_pinched_with_the_rolls_string_leaves_the_roll(strings, kind):
    assert roll_of(strings) == kind


def test_half_of_the_moments_pinched_are_a_pinch():
    assert roll_of([(3,), (1, 5), (4,), (1, 5)]) == "pinch"
    assert roll_of([(3, 2, 1)]) == "pinch"
    assert roll_of([(3,), (2,), (4,), (1, 5)]) == "none"


def test_a_hammered_note_between_leaves_the_roll_as_it_is():
    # Eighths, and a hammer-on on the sixteenth after the fourth: the right hand does not change.
    text = """\
Spacing: 4 characters = 1/8
Metre: 4/4

D|---------0-----------0-----------|
B|-----0-----------0-----------0---|
G|-0-----------2h4---------0-------|
D|---------------------------------|
g|---------------------------------|
"""
    tab = tab_of(read_text_tab(text, "hammered.tab", "").songs[0])
    assert len(tab.notes) == 9
    assert rolls_of(tab) == {1: "forward"}


def test_every_measure_is_classified():
    assert set(rolls_of(small_tab())) == {1, 2}


def test_measures_labelled_by_hand_get_their_label():
    # The goal is 95 in 100.
    recognised = {song.title: rolls_of(tab_of(song)) for song in rolled_songs()}
    right = [recognised[row["song"]][int(row["measure"])] == row["kind"] for row in LABELS]
    wrong = [row for row, is_right in zip(LABELS, right, strict=True) if not is_right]
    assert sum(right) >= 0.95 * len(LABELS), wrong
