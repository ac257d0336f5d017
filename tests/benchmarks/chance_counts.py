"""Is the chance level calibrated? Permuted licks that the fit has not seen, on all bundled songs.

A row a length: the mean number of songs, a lick, whose level is at most x, divided by x; 1 is
perfect. Where even the same notes are no rarer than x, nothing can be as rare, so short licks have
0 there. Then real licks of one tradition in the songs of another, which share no tunes, but share
what all melodies do: scales, steps, cadences. The last table says what level the best possible
score of unchanged licks has.

    python -m tests.benchmarks.chance_counts --licks 500
"""

import argparse
import time
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.best_songs import score_best
from melodex.alignment.passage import PassageScores, score_songs
from melodex.index.blocks import Blocks, load_blocks
from melodex.index.song_arrays import SongArrays
from melodex.index.store import Catalogue
from melodex.model.melody import Melody
from melodex.significance.background import ChanceModel
from melodex.significance.chance import expected_by_chance, fit_chance
from melodex.significance.permuted_licks import cut_lick, permuted_lick
from tests.benchmarks.measuring import bundled_catalogue

FIT_SEED, TEST_SEED = 0, 1
LENGTHS = range(5, 17)  # notes
LEVELS = np.array([0.1, 1.0, 10.0])
FOUND = 200  # songs; a lick that finds more at level 10 is counted short
TRADITIONS = {"Han Chinese songs": ("/han",), "O'Neill and Ryan": ("oneills1850", "ryansMammoth")}
EXACT_LENGTHS, EXACT_LICKS = (4, 5, 6, 8, 12), 20


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--licks", type=int, default=500)
    licks = parser.parse_args().licks
    catalogue = bundled_catalogue()
    blocks = load_blocks(catalogue)
    songs = blocks.songs
    begun = time.perf_counter()
    model = fit_chance(songs, seed=FIT_SEED)
    assert model is not None
    print(f"fitted in {time.perf_counter() - begun:.1f} s; {model.tail}\n")
    print_calibration(model, songs, licks)
    print_traditions(model, blocks, catalogue, licks // 2)
    print_exact_matches(model, songs)


def print_calibration(model: ChanceModel, songs: SongArrays, licks: int) -> None:
    rng = np.random.default_rng(TEST_SEED)
    counts: dict[int, list[NDArray[np.float64]]] = {n_notes: [] for n_notes in LENGTHS}
    everywhere = np.arange(songs.n_songs)
    for place in range(licks):
        n_notes = LENGTHS[place % len(LENGTHS)]
        permuted = permuted_lick(songs, n_notes, rng)
        assert permuted is not None
        lick, cut_from = permuted
        counts[n_notes].append(ratios(model, songs, lick, everywhere[everywhere != cut_from]))
    print("notes  licks  " + "".join(f"x = {level:<8g}" for level in LEVELS))
    for n_notes, rows in counts.items():
        print_row(str(n_notes), rows)
    print_row("all", [row for rows in counts.values() for row in rows])


def print_traditions(model: ChanceModel, blocks: Blocks, catalogue: Catalogue, licks: int) -> None:
    songs, rng = blocks.songs, np.random.default_rng(TEST_SEED)
    sizes = np.diff(songs.first_notes)
    file_of = {entry.song: entry.file for entry in catalogue.entries()}
    files = [file_of[song_id] for song_id in blocks.song_ids]
    of_tradition = {
        name: np.flatnonzero([any(part in file for part in parts) for file in files])
        for name, parts in TRADITIONS.items()
    }
    for one, other in permutations(TRADITIONS):
        rows = []
        for place in range(licks):
            n_notes = LENGTHS[place % len(LENGTHS)]
            song = int(rng.choice(of_tradition[one][sizes[of_tradition[one]] >= n_notes]))
            lick = cut_lick(songs, song, int(rng.integers(sizes[song] - n_notes + 1)), n_notes)
            rows.append(ratios(model, songs, lick, of_tradition[other]))
        print(f"real licks of {one} in {len(of_tradition[other])} songs of {other}")
        print_row("all", rows)


def ratios(
    model: ChanceModel, songs: SongArrays, lick: Melody, searched: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Count the songs at each level, divided by it."""
    levels = levels_of(model, songs, score_best(lick, songs, searched, limit=FOUND), searched)
    counts: NDArray[np.float64] = (levels[:, np.newaxis] <= LEVELS).sum(axis=0) / LEVELS
    return counts


def print_row(name: str, rows: list[NDArray[np.float64]]) -> None:
    mean, error = np.mean(rows, axis=0), np.std(rows, axis=0) / np.sqrt(len(rows))
    cells = "".join(f"{m:.2f} ±{e:.2f}  " for m, e in zip(mean, error, strict=True))
    print(f"{name:>5}  {len(rows):>5}  {cells}")


def print_exact_matches(model: ChanceModel, songs: SongArrays) -> None:
    rng = np.random.default_rng(TEST_SEED)
    sizes, everywhere = np.diff(songs.first_notes), np.arange(songs.n_songs)
    print("\nlevel of the same notes in the same rhythm: median, and of nine in ten at most")
    for n_notes in EXACT_LENGTHS:
        levels = []
        for song in rng.choice(np.flatnonzero(sizes >= n_notes), EXACT_LICKS).tolist():
            lick = cut_lick(songs, song, int(rng.integers(sizes[song] - n_notes + 1)), n_notes)
            found = score_songs(lick, songs, np.array([song]))
            levels.append(float(levels_of(model, songs, found, everywhere)[0]))
        median, high = np.quantile(levels, [0.5, 0.9])
        print(f"{n_notes:>5} notes  {median:10.2g}  {high:10.2g}")


def levels_of(
    model: ChanceModel, songs: SongArrays, found: PassageScores, searched: NDArray[np.int64]
) -> NDArray[np.float64]:
    levels = expected_by_chance(model, found, songs, aligned=searched, n_searched=len(searched))
    assert levels is not None
    return levels


if __name__ == "__main__":
    main()
