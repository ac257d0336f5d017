"""Choose the octave in which a song without strings is easiest to play."""

from collections.abc import Iterable
from functools import lru_cache

from melodex.banjo.hands import ways_to_sound
from melodex.banjo.moments import MOST_TOGETHER, OCTAVE, Moment, written_moments
from melodex.model.song import Song
from melodex.model.tuning import HIGHEST_FRET, BanjoTuning

# Within these frets all octaves are equally good, and the one nearest to the source is chosen:
# beginners play there. Common practice, no source.
NEAR_THE_NUT = 7
_OCTAVES = range(-5, 6)  # MIDI spans at most ten octaves


def octave_for(song: Song, tuning: BanjoTuning, measures: tuple[int, int] | None = None) -> int:
    """Return the octaves to transpose a song by so that its highest fret is as low as possible.

    Parameters
    ----------
    measures : (int, int) or None
        First and last measure, as written, to consider if the whole song does not fit the neck in
        any octave.

    Returns
    -------
    int
        Among octaves that need no fret above ``NEAR_THE_NUT``, or are equally high, the one nearest
        to the song as written; 0 if none fits.
    """
    for stretch in [None] if measures is None else [None, measures]:
        moments = written_moments(song, measures=stretch)
        together = {moment.pitches for moment in moments}
        reached = {
            octaves: _highest_fret(_moved(together, octaves), tuning) for octaves in _OCTAVES
        }
        possible = [octaves for octaves in _OCTAVES if reached[octaves] <= HIGHEST_FRET]
        if possible:
            return min(
                possible, key=lambda octaves: (max(reached[octaves], NEAR_THE_NUT), abs(octaves))
            )
    return 0


def highest_fret_needed(moments: Iterable[Moment], tuning: BanjoTuning) -> int:
    """Return the highest fret needed if each moment is played as near the nut as possible."""
    return _highest_fret({moment.pitches for moment in moments}, tuning)


def _moved(together: Iterable[tuple[int, ...]], octaves: int) -> list[tuple[int, ...]]:
    return [tuple(pitch + OCTAVE * octaves for pitch in pitches) for pitches in together]


def _highest_fret(together: Iterable[tuple[int, ...]], tuning: BanjoTuning) -> int:
    return max((_lowest_reach(pitches, tuning) for pitches in together), default=0)


@lru_cache(maxsize=4096)
def _lowest_reach(pitches: tuple[int, ...], tuning: BanjoTuning) -> int:
    """Return the highest fret of the lowest way to sound pitches; above the neck if none can."""
    if len(pitches) > MOST_TOGETHER:
        return HIGHEST_FRET + 1
    return min(
        (
            max(place.fret for place in hands.places)
            for hands in ways_to_sound(pitches, tuning, struck=False)
        ),
        default=HIGHEST_FRET + 1,
    )
