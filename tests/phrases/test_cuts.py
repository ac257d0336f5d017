"""Which stretch of a shared run becomes the lick."""

import numpy as np
import pytest

from melodex.index.song_arrays import join_performances, perform
from melodex.parsing.abc.abc_reader import read_abc
from melodex.phrases.families import families_of

HEAD = "M:4/4\nL:1/8\nK:G\n"


def licks_of(*tunes):
    """Return the licks of tunes in ABC: for each the song, and position and pitch of its ends."""
    songs = [read_abc(f"X:1\nT:Tune\n{HEAD}{tune}\n", "").songs[0] for tune in tunes]
    arrays = join_performances([perform(song.melody, song.sections, song.key) for song in songs])
    everywhere = np.ones(len(arrays.pitches), np.bool_)
    licks = []
    for family in families_of(arrays, np.arange(len(songs)), everywhere):
        first, last = family.notes.start, family.notes.stop - 1
        begin, end = arrays.onsets[[first, last]].tolist()
        licks.append((begin, end, family.lick.pitches.tolist()))
    return licks


def test_what_is_shared_from_the_last_eighth_of_a_measure_begins_on_the_bar_line():
    # The tunes also share the last eighth before the bar.
    (lick,) = licks_of(
        "c2e2a2fB|G2dcBE FA|c4 e4|f2d2g4|",
        "e4 A2GB|G2dcBE FA|B2A2 c4|a4 f4|",
    )
    assert lick[0] == 4.0


def test_what_is_shared_beyond_the_bar_line_into_a_run_ends_with_the_measure():
    (lick,) = licks_of(
        "c2e2a2f2|G2dcBEFA|ce cA e4|f2d2g4|",
        "e4 A4|G2dcBEFA|ceg2 B2A2|a4 f4|",
    )
    begin, end, _ = lick
    assert begin == 4.0
    assert end == 7.5  # the last eighth of the measure


@pytest.mark.parametrize("beats", [1, 2, 3])
def test_a_pickup_to_the_lick_belongs_to_it_if_the_tunes_begin_so(beats):
    pickup = "DEF"[:beats]
    book = [f"{pickup}|G2dcBEFA|{rest}" for rest in ("c4e4|f2d2g4|", "B2A2c4|a4f4|")]
    (lick,) = licks_of(*book)
    assert lick[0] == 0.0
    assert len(lick[2]) >= beats + 7


def test_tunes_that_only_share_what_no_group_begins_share_no_lick_off_the_beat():
    for begin, _, _ in licks_of("cG2dcBEF|A4c4|f2d2g4|", "eG2dcBEF|c4B4|a4f4|"):
        assert begin % 2 == 0.0
