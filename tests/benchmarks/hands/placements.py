"""Does a lick that `place` carries into another song stay the lick, and can a right hand play it?

Licks of the songbook as ABC, and cuts of its tabs, into songs of the songbook: a sample of all
pairs, drawn by a seed. The first three places count. The checker of hands
(``tests/hand_checker.py``) shares no code with the package.
"""

import argparse
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

from melodex.banjo.placing.lick_placement import PlacedLick, places_for, with_lick
from melodex.errors import MelodyError, QueryError
from melodex.features.chords import chords_of
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.tab_of_song import tab_of_song
from melodex.index.store import Catalogue, open_catalogue
from melodex.model.lick import Lick
from melodex.model.song import ChordSymbol
from melodex.model.tablature import Tab, TabNote
from melodex.search.query import lick_from_abc, lick_from_song
from tests.hand_checker import (
    impossible_fingers,
    impossible_slurs,
    repeated_fingers,
    techniques,
)
from tests.hidden_licks import fits_the_lick, hidden
from tests.songbook import SONGBOOK, TRUTH

FIRST = 3  # places that count
CUT = 2  # measures of a cut
EVERY = 4  # measures from cut to cut
DRONE = (5, 0)


def songs_of(catalogue: Catalogue) -> Iterator[tuple[str, Tab, tuple[ChordSymbol, ...]]]:
    """Each song that lies on the neck, in the octave where it does."""
    for entry in catalogue.entries():
        for octaves in (0, -1, 1):
            try:
                tab = tab_of_song(catalogue, entry.song, octaves=octaves)
            except MelodyError:
                continue
            yield entry.song, tab, chords_of(catalogue.song(entry.song))[0]
            break


def licks_of(catalogue: Catalogue) -> Iterator[tuple[str, str, Lick]]:
    """Kind, song and lick: those of the truth file, then cuts of the tabs."""
    for row in TRUTH["lick"]:
        yield "typed as ABC", "", lick_from_abc(row["abc"])
    for entry in catalogue.entries():
        if catalogue.song(entry.song).tuning:
            for first in range(1, entry.measures - CUT + 2, EVERY):
                cut = (first, first + CUT - 1)
                try:
                    yield (
                        "cut from tab",
                        entry.song,
                        lick_from_song(catalogue, entry.song, measures=cut),
                    )
                except QueryError:
                    continue


def judged(lick: Lick, tab: Tab, place: PlacedLick) -> Iterator[str]:
    """Name what is true of one place."""
    changed = with_lick(tab, place)
    begin, end = place.window.begin, place.window.end
    yield "places"
    faults = {
        "one finger twice in a row, fast": any(repeated_fingers(changed.notes, begin, end)),
        "fingers that no hand has": any(impossible_fingers(place.notes)),
        "slurs that no hand has": any(impossible_slurs(changed.notes)),
    }
    yield from (f"places with {fault}" for fault, is_there in faults.items() if is_there)
    if lick.hands is not None:
        yield from kept(lick.hands.notes, place, float(lick.melody.onsets[0]))


def kept(own: Sequence[TabNote], place: PlacedLick, starts: float) -> Iterator[str]:
    """Name what a place keeps of how the lick is played."""
    pairs = list(zip(own, place.notes, strict=True))
    at_own_pitch = place.fit.transposition == 0
    group = "at the lick's own pitch" if at_own_pitch else "at another pitch"
    drones = {round(note.onset - starts, 4) for note in own if (note.string, note.fret) == DRONE}
    now = {
        round(note.onset - place.window.begin, 4)
        for note in place.notes
        if (note.string, note.fret) == DRONE
    }
    here = techniques(place.notes, place.window.begin)
    true = {
        f"  with its strings: {place.fit.hands_kept}": True,
        "  with all strings, frets and techniques": techniques(own, starts) == here,
        "  with as many techniques": all(
            bool(one.left_hand) == bool(other.left_hand) for one, other in pairs
        ),
        "  with all stated fingers": all(one.finger in ("", other.finger) for one, other in pairs),
        "  with every drone a drone": drones <= now,
    }
    yield f"places {group}"
    yield from (f"  {group}{what}" for what, is_true in true.items() if is_true)


def counts_of(catalogue: Catalogue, pairs: int, seed: int) -> dict[str, Counter[str]]:
    """Count what is true of the places of some pairs of lick and song, by kind of lick.

    Parameters
    ----------
    pairs : int
        How many are drawn by the seed; 0 for all.
    """
    counts: dict[str, Counter[str]] = {}
    songs = list(songs_of(catalogue))
    all_pairs = [
        (kind, lick, tab, chords)
        for kind, came_from, lick in licks_of(catalogue)
        for song, tab, chords in songs
        if song != came_from
    ]
    chosen = Random(seed).sample(all_pairs, pairs or len(all_pairs))  # noqa: S311
    print(f"{len(chosen):,} of {len(all_pairs):,} pairs of lick and song")
    for kind, lick, tab, chords in chosen:
        told = counts.setdefault(kind, Counter())
        told["pairs of lick and song"] += 1
        try:
            places, _ = places_for(tab, chords, lick)
        except MelodyError:
            told["songs in which it fits nowhere"] += 1
            continue
        for place in places[:FIRST]:
            told.update(judged(lick, tab, place))
    return counts


def main() -> None:
    """Print the counts."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pairs", type=int, default=1_000, help="how many are drawn; 0 for all")
    options.add_argument("--seed", type=int, default=0)
    given = options.parse_args()
    with (
        tempfile.TemporaryDirectory() as folder,
        open_catalogue(Path(folder) / "songs", create=True) as catalogue,
    ):
        add_songs(catalogue, [SONGBOOK])
        counts = counts_of(catalogue, given.pairs, given.seed)
    for kind, told in counts.items():
        print(kind)
        for what, count in sorted(told.items()):
            print(f"  {count:6} {what}")
    planted = [place for place in TRUTH["place"] if fits_the_lick(place)]
    for held in (False, True):
        ranks = [hidden(place, held=held).rank() for place in planted]
        offered = [rank for rank in ranks if rank is not None]
        print(
            f"planted, {'held' if held else 'silent'}: {sum(rank <= FIRST for rank in offered)} of "
            f"{len(offered)} among the first {FIRST}, {offered.count(1)} first; {len(ranks)} in all"
        )


if __name__ == "__main__":
    main()
