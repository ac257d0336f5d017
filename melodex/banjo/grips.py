"""Grips: what the left hand can hold of a chord in a position.

A grip has for each string the lowest fret at or above the index finger, within four frets, that
sounds a chord tone. At the nut this gives the shapes that beginners learn, C as 2 1 0 2 (strings 1
to 4), D7 as 0 1 2 0; further up the movable and barre shapes, G as 5 3 4 5, B as 4 4 4 4.
"""

from functools import lru_cache

from melodex.banjo.fingering_settings import FREE_REACH
from melodex.banjo.fretboard import FretPlace
from melodex.model.tuning import OPEN_G, SHORT_STRING

_OPEN_POSITION = 2  # up to this position, open strings belong to a chord's shape
_ALL = frozenset(range(12))


@lru_cache(maxsize=4096)
def grip(tones: frozenset[int], position: int) -> tuple[FretPlace, ...]:
    """Return the strings that may sound with a chord, with their frets.

    Parameters
    ----------
    tones : frozenset of int
        The chord's pitch classes, 0 for C; if empty (unknown), every open string may sound.
    position : int
        The fret of the index finger.

    Returns
    -------
    tuple of FretPlace
        All notes are chord tones, except for an open short string, which drones with every chord
        that has no tone a half-step away from it.
    """
    chord = tones or _ALL
    places: list[FretPlace] = []
    for string in range(1, SHORT_STRING):
        frets = (0, *range(position, position + FREE_REACH + 1))
        sounding = [fret for fret in frets if OPEN_G.pitch(string, fret) % 12 in chord]
        if not sounding:
            continue
        if sounding[0] == 0 and position > _OPEN_POSITION:
            places += [FretPlace(string, fret) for fret in sounding[:2]]
        else:
            places.append(FretPlace(string, sounding[0]))
    if drones_under(chord):
        places.append(FretPlace(SHORT_STRING, 0))
    return tuple(places)


def drones_under(tones: frozenset[int]) -> bool:
    """Return whether the open short string is a chord tone, or no half-step from one."""
    drone = OPEN_G.pitch(SHORT_STRING, 0)
    return drone % 12 in tones or not tones & {(drone - 1) % 12, (drone + 1) % 12}
