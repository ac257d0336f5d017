"""How does `tab` lay plain tunes on the neck: which octave, how high, and with which fingers?

Bundled tunes that come without tab. Octaves, frets and pairs of strokes are judged by this file's
own arithmetic on the notes of the tab, not by the code that fingers.
"""

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise
from typing import NamedTuple

from melodex.banjo.fingered_tab import fingered_tab
from melodex.errors import MelodyError
from melodex.model.song import Song
from melodex.model.tablature import Tab
from tests.bundled import bundled_songs

COLLECTIONS = ("oneills1850", "ryansMammoth", "airdsAirs", "essenFolksong")
EVERY = 32  # tunes of a collection, which makes about 400 of all
NEAR_THE_NUT = 7  # frets
# The five open strings of open G, MIDI, string 1 first. Common practice, no source.
OPEN = (62, 59, 55, 50, 67)
NECK = 22  # frets
EIGHTH = 0.5 + 1e-6  # quarter notes


class Judged(NamedTuple):
    """What is counted on one tune."""

    fits_near_the_nut: bool  # in some octave
    needed: int  # the lowest possible highest fret, in the best octave
    highest: int  # that the tab reaches
    fast_pairs: int
    same_finger: int
    is_cautioned: bool  # for a finger that strikes twice in a row


def lowest_fret(pitch: int) -> int | None:
    """Return the lowest fret, as the neck numbers it, that sounds a pitch on any string."""
    frets = [pitch - string for string in OPEN[:4] if 0 <= pitch - string <= NECK]
    above_short = pitch - OPEN[4]
    if above_short == 0:
        frets.append(0)
    elif 0 < above_short <= NECK - 5:
        frets.append(above_short + 5)
    return min(frets, default=None)


def least_highest_fret(pitches: Sequence[int]) -> int | None:
    """Return how high a tune must reach in its best octave; None where no octave suits it."""
    reached: list[int] = []
    for octave in range(-6, 7):
        frets = [lowest_fret(pitch + 12 * octave) for pitch in pitches]
        known = [fret for fret in frets if fret is not None]
        if len(known) == len(frets):
            reached.append(max(known, default=0))
    return min(reached, default=None)


def finger_pairs(tab: Tab) -> tuple[int, int]:
    """Count pairs of strokes no more than an eighth apart, and those that repeat a finger."""
    strokes = [
        (onset, {note.finger for note in group if note.finger})
        for onset, group in groupby(tab.notes, key=lambda note: note.onset)
    ]
    struck = [(onset, fingers) for onset, fingers in strokes if fingers]
    fast = [
        (one, other)
        for (earlier, one), (later, other) in pairwise(struck)
        if later - earlier <= EIGHTH
    ]
    return len(fast), sum(bool(one & other) for one, other in fast)


def judged(tunes: Iterable[Song]) -> Iterator[tuple[Song, Judged]]:
    """Finger tunes and judge each; a tune that lies on no neck is passed over."""
    for tune in tunes:
        needed = least_highest_fret(sorted(set(tune.melody.pitches.tolist())))
        if needed is None or not len(tune.melody):
            continue
        try:
            tab = fingered_tab(tune)
        except MelodyError as error:
            print(f"{tune.title}: {error}", file=sys.stderr)
            continue
        highest = max(note.fret for note in tab.notes)
        cautioned = any("twice in a row" in caution for caution in tab.cautions)
        yield tune, Judged(needed <= NEAR_THE_NUT, needed, highest, *finger_pairs(tab), cautioned)


def report(tunes: Iterable[Song]) -> None:
    """Print the counts."""
    found = [each for _, each in judged(tunes)]
    fitting = [each for each in found if each.fits_near_the_nut]
    others = [each for each in found if not each.fits_near_the_nut]
    pairs, same = sum(each.fast_pairs for each in found), sum(each.same_finger for each in found)
    print(f"{len(found)} tunes, of which {len(fitting)} fit frets 0 to {NEAR_THE_NUT}")
    laid = sum(each.highest <= NEAR_THE_NUT for each in fitting)
    print(f"  laid there: {laid}")
    lowest = sum(each.highest <= each.needed for each in others)
    print(f"  others: {len(others)}, that reach no higher than they need: {lowest}")
    above_twelfth = sum(each.highest > 12 for each in found)
    print(f"  reaching above fret 12: {above_twelfth}")
    print(f"pairs at eighth speed: {pairs}, with one finger: {same} ({same / pairs:.2%})")
    wrong = sum(each.is_cautioned != bool(each.same_finger) for each in found)
    print(f"  tunes that have such a pair and no caution, or a caution and no such pair: {wrong}")
    heights = Counter(each.highest for each in found)
    print("tunes by highest fret:", dict(sorted(heights.items())))


if __name__ == "__main__":
    report(tune for name in COLLECTIONS for tune in bundled_songs(name)[::EVERY])
