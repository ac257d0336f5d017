"""Every weight of the alignment, with its measurement.

Measured by ``tests/benchmarks/retrieval.py``, part b, on the tuning half of its tunes; the figures
are mean average precision. They were chosen for plain licks changed as players change them
(11 kinds of change) unless something else is said.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

PITCH_SIMILARITY = MappingProxyType({0: 1.0, 1: 0.3, 2: 0.2, 12: 0.5})


@dataclass(frozen=True, slots=True)
class AlignmentSettings:
    """What a pair of notes is worth and what a note without an answer costs."""

    # By distance in half-steps, else 0. Of 1, 2 and 3 half-steps .3, .2 and 0 had .810 where .5, .3
    # and .1 had .807; on the songbook (part c) they put 5 of 122 places more above every decoy. An
    # octave of .5 raised licks with some notes an octave off from .81 to .90, no other kind fell.
    pitch_similarity: Mapping[int, float] = field(default_factory=lambda: PITCH_SIMILARITY)
    # Share of a pair's similarity lost where a downbeat meets the weakest place. 1 gave .62 where
    # .5 gave .65; 0 loses the rolled and the several times changed licks.
    beat_weight: float = 0.5
    # Share lost per doubling of the ratio of durations, two doublings at most: .25 gave .65, .125
    # .69; 0 gave .72 but calls the same pitches in another rhythm the same lick.
    duration_weight: float = 0.125
    # The price of a note without an answer on the downbeat: .8 gave .797; 1, with a gap_relief of
    # .4, gave .817.
    gap_price: float = 1.0
    # The share of it that is let off at the weakest place in a measure.
    gap_relief: float = 0.5
    # One note answered by two of its pitch, or two by one.
    split_price: float = 0.2
    # Share of the score lost where a lick is found in halved or doubled note values, whose beat
    # strengths are not compared: 0.1, 0.15 and 0.2 gave .799, .797, .792; 0.3 gave .765.
    scaling_price: float = 0.12
    # In an even line a note that carries the melody may be left out at this price for each unit of
    # its beat strength, up to the largest; one that does not carry it, for nothing. Of licks in
    # rolled songs, eight notes and more, .6 and .3 had .93 as top hit, with strings and without;
    # one price of .3 for all had .89 and .78; a price of .05 for the fill lowered it by a quarter.
    song_skeleton_slope: float = 0.6
    song_skeleton_gap: float = 0.3
    # The same in a lick that sounds rolled, whose filler is left out altogether. Of 84 rolled licks
    # top hits in plain songs went from .14 to .32 by leaving out the filler, and of every other one
    # of them to .52 where only rolls are asked for what is inside both.
    lick_skeleton_gap: float = 0.5
    # In a song in rolls, where the melody inside a rolled lick is asked for: so a jig's many notes
    # no longer answer it over twice its measures. Of 200 tunes in rolls top hits went from 171 to
    # 176; with the higher price for the strongest notes, and none left for fill with fill, to 182.
    roll_in_roll_slope: float = 1.2
    roll_in_roll_gap: float = 0.6
    # A rolled lick is also asked by its strongest notes alone, where so many are left, for so much
    # more: of 32 rolled licks top hits went from .53 to .72.
    fewest_of_slow_melody: int = 8
    slow_melody_price: float = 0.2
    # Share of the score lost where the skeleton answered, so that what is written wins a tie: in
    # songs in tab or that sound rolled; in other even lines, which may be no rolls; and for a lick
    # that sounds rolled: .15, .1 and .05 had .52, .55 and .57 of the top hits.
    rolled_skeleton_price: float = 0.03
    skeleton_price: float = 0.15
    rolled_lick_price: float = 0.1
    # The longer a lick, the easier a line whose filler is left out for nothing answers it by
    # accident: outside tab more of the score is lost from so many notes on, all of it at twice as
    # many. Of the first eight measures of 52 tunes, .12 and .25 brought .720 to .761 and .784;
    # without any skeleton it were .789.
    short_lick: int = 16
    long_lick_price: float = 0.25

    # Whole songs (``tests/benchmarks/near.py``): as beat_weight; the price of the first note of a
    # run without an answer, and of each further one.
    whole_beat_weight: float = 1.0
    whole_gap_open: float = 0.8
    whole_gap_extend: float = 0.2

    def similarity_table(self, reach: int | None = None) -> NDArray[np.float32]:
        """Lay ``pitch_similarity`` out for the kernels.

        Returns
        -------
        shape (2 * reach + 1,)
            By half-steps from -reach to reach, by default to the first beyond which all is 0.
        """
        if reach is None:
            reach = max(self.pitch_similarity) + 1
        table = np.zeros(2 * reach + 1, np.float32)
        for distance, worth in self.pitch_similarity.items():
            table[reach + distance] = table[reach - distance] = worth
        return table


DEFAULT_SETTINGS = AlignmentSettings()
