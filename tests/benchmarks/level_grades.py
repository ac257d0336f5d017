"""What do bundled tunes demand of their players, and where do the fifths lie that levels rest on?

Range, leaps, rhythm and speed are counted over every bundled tune; what tab demands, over
arrangements of some of them, as many in each stage. Prints the constants of
``features/playing/difficulty.py``, and Kendall's tau between the levels estimated and those that
the songbook's teacher gave, of which the constants know nothing.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
from scipy.stats import kendalltau

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import STAGES
from melodex.errors import MelodyError
from melodex.features.playing.difficulty import SIDES, SIDES_OF_HANDS, difficulty_of, level_of
from melodex.features.playing.measured_demands import demands_of
from melodex.features.written_tab import written_tab
from melodex.index.store import Catalogue
from melodex.model.demands import Demands
from melodex.model.song import Song
from tests.benchmarks.measuring import bundled_catalogue
from tests.songbook import levelled_songs

ARRANGED = 200
SEED = 20261129
FIFTHS = (0.2, 0.4, 0.6, 0.8)


def demands_in(song: Song) -> Demands | None:
    """Return what a song demands."""
    return demands_of(song.melody, song.metre, song.tempo, written_tab(song))


def arranged(catalogue: Catalogue) -> Iterator[Demands]:
    """Arrange tunes drawn at random, a stage each in turn, and yield what these demand."""
    ids, done = catalogue.song_ids(), 0
    for place in np.random.default_rng(SEED).permutation(len(ids)):
        try:
            tab = arrange(catalogue.song(ids[place]), stage=STAGES[done % len(STAGES)])
        except MelodyError:
            continue
        if demands := demands_in(tab.song):
            yield demands
            done += 1
        if done == ARRANGED:
            return


def print_fifths(name: str, values: Sequence[float]) -> None:
    """Print where the fifths of a demand lie."""
    print(f"{name}: {np.quantile(values, FIFTHS).round(4).tolist()}")


def report() -> None:
    """Print the constants, and how well they agree with a teacher."""
    with bundled_catalogue() as catalogue:
        songs = map(catalogue.song, catalogue.song_ids())
        bundled = [demands for song in songs if (demands := demands_in(song))]
        for name, side in SIDES.items():
            print_fifths(name, [side.value(each) for each in bundled])
        hard = [difficulty_of(each) for each in bundled]
        print_fifths("mean grades", hard)
        print(f"songs of each level: {sorted(Counter(map(level_of, hard)).items())}")
        hands = [each.hands for each in arranged(catalogue) if each.hands]
        for name, of_hands in SIDES_OF_HANDS.items():
            print_fifths(name, [of_hands.value(each) for each in hands])
    rated = [(demands_in(song), level) for song, level in levelled_songs()]
    agreement = kendalltau(
        [difficulty_of(demands) for demands, _ in rated if demands],
        [level for demands, level in rated if demands],
    )
    print(
        f"Kendall's tau of {len(rated)} songs of the songbook with the levels given: "
        f"{agreement.statistic:.2f} (p = {agreement.pvalue:.1g})"
    )


if __name__ == "__main__":
    report()
