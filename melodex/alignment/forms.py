"""The forms in which a lick is searched for, each with its prior."""

from typing import NamedTuple


class Form(NamedTuple):
    """A way in which a song may hold a lick; what is not said is as written."""

    name: str
    prior: float  # natural logarithm, against "as written"
    lick_doubled: bool = False  # the song plays the lick's note values twice as long
    song_doubled: bool = False  # half as long
    beats: bool = True  # whether beat strengths are compared
    durations: bool = True
    other_mode: bool = False  # notes may lie a half-step off, as in the parallel mode
    lick_filler: bool = False  # notes of the lick that carry no melody may be left out
    song_filler: bool = False
