"""The forms in which a lick is searched for, each with its prior."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.skeleton import Texture


class Form(NamedTuple):
    """A way in which a song may hold a lick; what is not said is as written."""

    name: str
    prior: float  # natural logarithm, against "as written"
    prior_in_rolls: float | None = None  # in songs in rolls, where it differs
    least_texture: Texture = Texture.PLAIN  # of the songs that may have the form
    lick_doubled: bool = False  # the song plays the lick's note values twice as long
    song_doubled: bool = False  # half as long
    beats: bool = True  # whether beat strengths are compared
    durations: bool = True
    lick_in_rolls: bool = False  # the lick's notes that carry no melody only fill
    song_in_rolls: bool = False

    @property
    def prior_of_rolls(self) -> float:
        """The prior in songs in rolls."""
        return self.prior if self.prior_in_rolls is None else self.prior_in_rolls

    def priors(self, textures: NDArray[np.int8]) -> NDArray[np.float32]:
        """Return the prior in songs of each texture, ``RULED_OUT`` where none; shape as given."""
        priors = np.where(textures >= Texture.ROLLED, self.prior_of_rolls, self.prior)
        return np.where(textures >= self.least_texture, priors, RULED_OUT).astype(np.float32)


RULED_OUT = -1e6
AS_WRITTEN = Form("as written", 0.0)
# On the tuning half of the retrieval benchmark's parts (a) and (d) and of the other forms of (b),
# priors of -2 to -5 rank alike within .01; licks changed as players change them, whose holders
# have any rhythm, are found with .75 by -4 for free rhythm and with .79 by -2. A form for
# shifted beats alone gained nothing beside free rhythm, nor did one for the parallel mode, which
# the pitch table allows for.
OTHER_RHYTHM = -2.0
RHYTHMS = (
    AS_WRITTEN,
    Form("doubled", OTHER_RHYTHM, lick_doubled=True),
    Form("halved", OTHER_RHYTHM, song_doubled=True),
    Form("free rhythm", OTHER_RHYTHM, beats=False, durations=False),
)
# In songs that are no rolls it finds tunes whose passing notes a player leaves out: without it none
# of eight licks in quarters for eighths came first, with it seven.
INSIDE_A_ROLL = Form("inside a roll", -3.0, 0.0, durations=False, song_in_rolls=True)
FORMS = (*RHYTHMS, INSIDE_A_ROLL)
# Of a lick that sounds rolled.
MELODY_OF_A_ROLL = Form("melody of the roll", 0.0, durations=False, lick_in_rolls=True)
MELODY_OF_BOTH_ROLLS = Form(
    "melody of both rolls",
    -1.0,
    least_texture=Texture.ROLLED,
    durations=False,
    lick_in_rolls=True,
    song_in_rolls=True,
)
FORMS_OF_ROLLS = (*RHYTHMS, MELODY_OF_A_ROLL, MELODY_OF_BOTH_ROLLS)
# What a form is called from the other melody's side, where it is not the same.
MIRRORED = {
    "doubled": "halved",
    "halved": "doubled",
    "inside a roll": "melody of the roll",
    "melody of the roll": "inside a roll",
}


def forms_of(*, lick_is_rolled: bool) -> Sequence[Form]:
    """Return the forms in which a lick is searched for."""
    return FORMS_OF_ROLLS if lick_is_rolled else FORMS


def forms_between(one: Texture, other: Texture) -> Sequence[Form]:
    """Return the forms in which two melodies are compared; the other one takes the song's part.

    Two tabs are compared by their melodies alone: all rolls have filler and drone in common.
    """
    if one == other == Texture.TAB:
        return (MELODY_OF_BOTH_ROLLS,)
    inside = (INSIDE_A_ROLL,) if other >= Texture.ROLLED else ()
    around = (MELODY_OF_A_ROLL,) if one >= Texture.ROLLED else ()
    return (*RHYTHMS, *inside, *around)
