"""The forms in which a lick is searched for, each with its prior."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.skeleton import Texture


class Form(NamedTuple):
    """A way in which a song may contain a lick; the defaults mean "as written"."""

    name: str
    prior: float  # natural logarithm, against "as written"
    prior_in_rolls: float | None = None  # in songs in rolls, if it differs
    least_texture: Texture = Texture.PLAIN  # of songs that may have the form
    lick_doubled: bool = False  # the song plays the lick's note values twice as long
    song_doubled: bool = False  # half as long
    beats: bool = True  # whether beat strengths are compared
    durations: bool = True
    lick_in_rolls: bool = False  # the lick's notes that carry no melody are filler
    song_in_rolls: bool = False

    @property
    def prior_of_rolls(self) -> float:
        """The prior in songs in rolls."""
        return self.prior if self.prior_in_rolls is None else self.prior_in_rolls

    def priors(self, textures: NDArray[np.int8]) -> NDArray[np.float32]:
        """Return the prior in songs of each texture, ``RULED_OUT`` if excluded; shape as given."""
        priors = np.where(textures >= Texture.ROLLED, self.prior_of_rolls, self.prior)
        return np.where(textures >= self.least_texture, priors, RULED_OUT).astype(np.float32)


RULED_OUT = -1e6
AS_WRITTEN = Form("as written", 0.0)
# Measured on the tuning half of the retrieval benchmark: from -2 to -5 its parts (a), (b) and (d)
# differ by less than .01, except that licks changed as players change them are found with .79 at
# -2 and with .75 at -4. Forms for shifted beats or for the parallel mode gained nothing.
OTHER_RHYTHM = -2.0
RHYTHMS = (
    AS_WRITTEN,
    Form("doubled", OTHER_RHYTHM, lick_doubled=True),
    Form("halved", OTHER_RHYTHM, song_doubled=True),
    Form("free rhythm", OTHER_RHYTHM, beats=False, durations=False),
)
# In songs without rolls it finds tunes whose passing notes a player leaves out: of eight licks in
# quarters instead of eighths, seven came first with it and none without it.
INSIDE_A_ROLL = Form("inside a roll", -3.0, 0.0, durations=False, song_in_rolls=True)
FORMS = (*RHYTHMS, INSIDE_A_ROLL)
# For licks that sound rolled.
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
# The name of a form with the two melodies exchanged, if it differs.
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
    """Return the forms in which two melodies are compared; ``other`` takes the song's part.

    Two tabs are compared by their melodies alone, since all rolls share filler and drone.
    """
    if one == other == Texture.TAB:
        return (MELODY_OF_BOTH_ROLLS,)
    inside = (INSIDE_A_ROLL,) if other >= Texture.ROLLED else ()
    around = (MELODY_OF_A_ROLL,) if one >= Texture.ROLLED else ()
    return (*RHYTHMS, *inside, *around)
