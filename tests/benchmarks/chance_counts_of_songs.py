"""Are the chance levels of `near` and `shared` calibrated? Shuffled songs that no fit has seen.

For `near` the mean number of songs whose level is at most x, divided by x; 1 is perfect. For
`shared` the number of stretches of two shuffled songs whose level is at most x, divided by what was
to be expected: x a pair, or less where even the least stretch that is looked for is rarer. The last
rows tell what unrelated songs as they are share, whose notes do mean something.

    python -m tests.benchmarks.chance_counts_of_songs --songs 100 --pairs 1500
"""

import argparse
import time
from collections.abc import Callable
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.stretches import matching_stretches
from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import WholeSongs, whole_songs
from melodex.index.blocks import load_blocks
from melodex.index.song_arrays import SongArrays
from melodex.model.melody import Melody
from melodex.phrases.shared import LEAST_SCORE, shared_by
from melodex.significance.background import songs_with_notes
from melodex.significance.chance_of_phrases import (
    MEASURED_FROM,
    PhraseChance,
    fit_chance_of_phrases,
)
from melodex.significance.chance_of_songs import (
    SongChance,
    fit_chance_of_songs,
    songs_expected_by_chance,
)
from melodex.significance.permuted_licks import (
    shuffle_songs,
    with_shuffled_intervals,
    written_line,
)
from melodex.significance.song_sample import only_songs
from tests.benchmarks.measuring import bundled_catalogue

ScoresOf: TypeAlias = Callable[[Melody, Melody], tuple[float, list[float]]]
FIT_SEED, TEST_SEED = 0, 1
LEVELS = np.array([0.1, 1.0, 10.0])
FOUND = 200  # of the songs most alike; a song that finds more at level 10 is counted short
PHRASE_LEVELS = np.array([0.003, 0.03, 0.3])
LENGTHS = (1, 40, 80, 10_000)  # notes; classes of songs


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--songs", type=int, default=100)
    parser.add_argument("--pairs", type=int, default=1500)
    wanted = parser.parse_args()
    songs = load_blocks(bundled_catalogue()).songs
    begun = time.perf_counter()
    of_phrases = fit_chance_of_phrases(songs, FIT_SEED)
    print(f"phrases fitted in {time.perf_counter() - begun:.1f} s: {of_phrases}")
    begun = time.perf_counter()
    of_songs = fit_chance_of_songs(songs, FIT_SEED)
    assert of_phrases is not None
    assert of_songs is not None
    print(f"songs fitted in {time.perf_counter() - begun:.1f} s: {of_songs.rate:.3f} to a nat")
    print_shared(of_phrases, songs, wanted.pairs)
    print_near(of_songs, songs, wanted.songs)


def print_near(model: SongChance, songs: SongArrays, n_songs: int) -> None:
    rng = np.random.default_rng(TEST_SEED)
    shuffled = rng.choice(songs_with_notes(songs), n_songs)
    everywhere = np.arange(songs.n_songs)
    querying = np.arange(len(everywhere), len(everywhere) + n_songs)
    compared = whole_songs(
        shuffle_songs(only_songs(songs, np.append(everywhere, shuffled)), querying, rng)
    )
    counts = near_counts(model, compared, querying, shuffled)
    sizes = compared.sizes[querying]
    print("\nnear: notes  songs  " + "".join(f"x = {level:<8g}" for level in LEVELS))
    for least, most in pairwise(LENGTHS):
        print_row(f"{least}-{most - 1}", counts[(sizes >= least) & (sizes < most)])
    print_row("all", counts)
    print_row("all, as is", near_counts(model, compared, shuffled, shuffled))


def near_counts(
    model: SongChance,
    compared: WholeSongs,
    querying: NDArray[np.int64],
    came_from: NDArray[np.int64],
) -> NDArray[np.float64]:
    """Count the songs at each level, divided by it; shape (n_querying, n_levels)."""
    rows = []
    everywhere = np.arange(len(compared.textures) - len(querying))
    for song, original in zip(querying.tolist(), came_from.tolist(), strict=True):
        found = most_alike(song, compared, everywhere[everywhere != original], limit=FOUND)
        levels = songs_expected_by_chance(model, song, compared, found)
        assert levels is not None
        rows.append((levels[:, np.newaxis] <= LEVELS).sum(axis=0) / LEVELS)
    return np.array(rows)


def print_row(name: str, rows: NDArray[np.float64]) -> None:
    mean, error = rows.mean(axis=0), rows.std(axis=0) / np.sqrt(len(rows))
    cells = "".join(f"{m:.2f} ±{e:.2f}  " for m, e in zip(mean, error, strict=True))
    print(f"{name:>11}  {len(rows):>5}  {cells}")


def print_shared(model: PhraseChance, songs: SongArrays, n_pairs: int) -> None:
    rng = np.random.default_rng(TEST_SEED)
    numbers = [rng.choice(songs_with_notes(songs), 2, replace=False) for _ in range(n_pairs)]
    as_they_are = [(written_line(songs, one), written_line(songs, other)) for one, other in numbers]
    shuffled = [
        (with_shuffled_intervals(one, rng), with_shuffled_intervals(other, rng))
        for one, other in as_they_are
    ]
    print("\nshared: notes  pairs  " + "".join(f"x = {level:<8g}" for level in PHRASE_LEVELS))
    sizes = np.sqrt([len(one) * len(other) for one, other in shuffled])
    stretches = np.array([ratio_terms(model, stretch_scores, pair) for pair in shuffled])
    for least, most in pairwise(LENGTHS):
        print_ratio(f"{least}-{most - 1}", stretches[(sizes >= least) & (sizes < most)])
    print_ratio("all", stretches)
    for name, pairs in (("told", shuffled), ("told, as is", as_they_are)):
        print_ratio(name, np.array([ratio_terms(model, phrase_scores, pair) for pair in pairs]))


def stretch_scores(one: Melody, other: Melody) -> tuple[float, list[float]]:
    found = matching_stretches(one, other, least_score=MEASURED_FROM)
    return MEASURED_FROM, [stretch.log_odds for stretch in found]


def phrase_scores(one: Melody, other: Melody) -> tuple[float, list[float]]:
    return LEAST_SCORE, [phrase.stretch.log_odds for phrase in shared_by(one, other).phrases]


def ratio_terms(
    model: PhraseChance, scores_of: ScoresOf, pair: tuple[Melody, Melody]
) -> NDArray[np.float64]:
    """Count what is found at each level, and give what was to be expected; shape (2, n_levels)."""
    least, scores = scores_of(*pair)
    size = len(pair[0]) * len(pair[1])
    levels = np.array([model.expected(score, size) for score in scores])
    found = (levels[:, np.newaxis] <= PHRASE_LEVELS).sum(axis=0)
    return np.array([found, np.minimum(PHRASE_LEVELS, model.expected(least, size))])


def print_ratio(name: str, terms: NDArray[np.float64]) -> None:
    found, expected = terms.sum(axis=0)
    cells = "".join(
        f"{f / e:.2f} ±{np.sqrt(f) / e:.2f}  " for f, e in zip(found, expected, strict=True)
    )
    print(f"{name:>13}  {len(terms):>5}  {cells}")


if __name__ == "__main__":
    main()
