"""Where on the neck a melody note of an arrangement may be played, and at what cost."""

from typing import NamedTuple

from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.fingering_settings import FREE_REACH
from melodex.banjo.fretboard import FretPlace, fret_places
from melodex.model.tuning import OPEN_G, SHORT_STRING

AT_THE_NUT = 1  # the lowest position there. Common practice, no source.
_LOW_FRETS = 5  # higher frets of melody notes cost more
_HIGHEST_UP = 15  # a higher melody is out of a learner's reach
_HIGHEST_CHORDS = 2  # the highest position for the frets of the first four chords


class Reach(NamedTuple):
    """The positions available to the left hand: frets of its index finger."""

    lowest: int  # ``AT_THE_NUT`` or ``UP_THE_NECK``
    highest: int

    @property
    def is_up_the_neck(self) -> bool:
        """Whether open strings other than the drone are excluded."""
        return self.lowest > AT_THE_NUT

    def positions(self, place: FretPlace) -> range:
        """Return the positions that reach a fret without a stretch; all for an open string."""
        if not place.fret:
            return range(self.lowest, self.highest + 1)
        lowest = max(place.fret - FREE_REACH, self.lowest)
        return range(min(lowest, place.fret), min(place.fret, self.highest) + 1)


def melody_places(pitch: int, lowest: int) -> list[FretPlace]:
    """Return the places for a melody note; none if it is not on the neck.

    Parameters
    ----------
    lowest : int
        ``AT_THE_NUT``, or ``UP_THE_NECK`` for places above that, if there are any.
    """
    places = fret_places(pitch, OPEN_G)
    if lowest > AT_THE_NUT:
        above = [p for p in places if lowest <= p.fret <= _HIGHEST_UP and p.string != SHORT_STRING]
        return above or places
    return [place for place in places if place.string != SHORT_STRING or not place.fret]


def fret_cost(place: FretPlace, reach: Reach) -> float:
    """Return the cost of playing a melody note at a place."""
    above = max(place.fret - reach.lowest - _LOW_FRETS + AT_THE_NUT, 0)
    if not reach.is_up_the_neck:
        return ARRANGING.fret * place.fret + ARRANGING.above_the_fifth * above
    below = max(reach.lowest - place.fret, 0)
    return ARRANGING.above_the_fifth * (above + below)


def reach_of(pitches: set[int], lowest: int) -> Reach:
    """Return the positions that a melody needs, up to the lowest fret of its highest note."""
    frets = [
        min((p.fret for p in melody_places(pitch, lowest) if p.string != SHORT_STRING), default=0)
        for pitch in pitches
    ]
    return Reach(lowest, max([lowest - AT_THE_NUT + _HIGHEST_CHORDS, *frets]))
