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
    lick_doubled: bool = False  # the song plays the lick's note values twice as long
    song_doubled: bool = False  # half as long
    beats: bool = True  # whether beat strengths are compared
    durations: bool = True
    lick_in_rolls: bool = False  # the lick's notes that carry no melody only fill
    song_in_rolls: bool = False

    def priors(self, textures: NDArray[np.int8]) -> NDArray[np.float32]:
        """Return the prior in songs of each texture; shape as given."""
        if self.prior_in_rolls is None:
            return np.full(len(textures), self.prior, np.float32)
        in_rolls = textures >= Texture.ROLLED
        return np.where(in_rolls, self.prior_in_rolls, self.prior).astype(np.float32)


AS_WRITTEN = Form("as written", 0.0)
INSIDE_A_ROLL = Form("inside a roll", -3.0, 0.0, durations=False, song_in_rolls=True)
FORMS = (
    AS_WRITTEN,
    Form("doubled", -2.0, lick_doubled=True),
    Form("halved", -2.0, song_doubled=True),
    Form("beats shifted", -3.0, beats=False),
    Form("free rhythm", -4.0, beats=False, durations=False),
    INSIDE_A_ROLL,
)
# Of a lick that sounds rolled.
FORMS_OF_ROLLS = (
    *FORMS[:-1],
    Form("melody of the roll", -1.0, durations=False, lick_in_rolls=True),
    Form(
        "melody of both rolls", -8.0, -1.0, durations=False, lick_in_rolls=True, song_in_rolls=True
    ),
)


def forms_of(*, lick_is_rolled: bool) -> Sequence[Form]:
    """Return the forms in which a lick is searched for."""
    return FORMS_OF_ROLLS if lick_is_rolled else FORMS
