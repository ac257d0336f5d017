"""Where on the neck a melody note of an arrangement may lie, and what it costs there."""

from typing import NamedTuple

from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.fingering_settings import FREE_REACH
from melodex.banjo.fretboard import FretPlace, places_of
from melodex.model.tuning import OPEN_G, SHORT_STRING

AT_THE_NUT = 1  # the lowest position there. Common practice, no source.
_LOW_FRETS = 5  # above them a melody note costs more
_HIGHEST_UP = 15  # a melody that goes higher is out of a learner's reach
_HIGHEST_CHORDS = 2  # from which the frets of the first four chords are reached


class Reach(NamedTuple):
    """The positions that the left hand uses, frets of its index finger."""

    lowest: int  # ``AT_THE_NUT`` or ``UP_THE_NECK``
    highest: int

    @property
    def is_up_the_neck(self) -> bool:
        """Whether open strings other than the drone are left out."""
        return self.lowest > AT_THE_NUT

    def positions(self, place: FretPlace) -> range:
        """Return the positions from which a fret is reached without a stretch, all if open."""
        if not place.fret:
            return range(self.lowest, self.highest + 1)
        lowest = max(place.fret - FREE_REACH, self.lowest)
        return range(min(lowest, place.fret), min(place.fret, self.highest) + 1)


def melody_places(pitch: int, lowest: int) -> list[FretPlace]:
    """List the places for a melody note; none where it does not lie on the neck.

    Parameters
    ----------
    lowest : int
        ``AT_THE_NUT``, or ``UP_THE_NECK`` for places above it, where there are any.
    """
    places = places_of(pitch, OPEN_G)
    if lowest > AT_THE_NUT:
        above = [p for p in places if lowest <= p.fret <= _HIGHEST_UP and p.string != SHORT_STRING]
        return above or places
    return [place for place in places if place.string != SHORT_STRING or not place.fret]


def fret_cost(place: FretPlace, reach: Reach) -> float:
    """Return what a melody note costs at a place."""
    above = max(place.fret - reach.lowest - _LOW_FRETS + AT_THE_NUT, 0)
    if not reach.is_up_the_neck:
        return ARRANGING.fret * place.fret + ARRANGING.above_the_fifth * above
    below = max(reach.lowest - place.fret, 0)
    return ARRANGING.above_the_fifth * (above + below)


def reach_of(pitches: set[int], lowest: int) -> Reach:
    """Return the positions that a melody needs: up to the lowest fret of its highest note."""
    frets = [
        min((p.fret for p in melody_places(pitch, lowest) if p.string != SHORT_STRING), default=0)
        for pitch in pitches
    ]
    return Reach(lowest, max([lowest - AT_THE_NUT + _HIGHEST_CHORDS, *frets]))
