"""Stage 2 against a general-purpose aligner, in one run and with equal scores.

Run: python -m tests.benchmarks.alignment_speed

First both score one lick in the same sample of songs at every transposition by pitch and affine
gaps, the only scoring that both can express, and are seen to agree. Then a warm search of all
bundled songs, as written alone and in every form, and a warm ``find_lick``, which adds places and
the chance level, beside Biopython's time for the same pairs of notes: its time on the sample,
carried on to the notes and transpositions of all songs.
"""

from collections.abc import Sequence

import numpy as np

from melodex.alignment.best_songs import score_best
from melodex.alignment.forms import AS_WRITTEN, FORMS, Form
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.passage import score_songs
from melodex.finder.find_lick import find_lick
from melodex.index.blocks import Blocks, load_blocks
from melodex.kernels import pair_alignment as kernel
from melodex.kernels.lane_columns import PairScores
from melodex.parsing.lick_numbers import lick_from_notes
from tests.benchmarks.measuring import bundled_catalogue, median_seconds
from tests.reference.general_aligner import affine_aligner, best_score

SAMPLE = 200  # songs
WANTED = 20  # songs, what ``find`` lists
GAP_OPEN, GAP_EXTEND = -3 * kernel.UNIT, -kernel.UNIT
LICK = (62, 64, 67, 71, 69, 67, 64, 62)
REPEATS = 3


def main() -> None:
    lick = lick_from_notes(LICK, np.arange(len(LICK)) / 2, np.full(len(LICK), 0.5))
    with bundled_catalogue() as catalogue:
        blocks = load_blocks(catalogue)
        chosen = np.linspace(0, len(blocks.song_ids) - 1, SAMPLE).astype(np.int64)
        own, peer = sample_seconds(blocks, chosen)
        everything = np.arange(len(blocks.song_ids))

        def search(forms: Sequence[Form]) -> float:
            return median_seconds(
                lambda: score_songs(lick.melody, blocks.songs, everything, forms=forms)
            )

        written, every_form = search((AS_WRITTEN,)), search(FORMS)
        best = median_seconds(
            lambda: score_best(lick.melody, blocks.songs, everything, limit=WANTED)
        )
        whole = median_seconds(lambda: find_lick(catalogue, lick))
    print(f"{SAMPLE} songs, one form, one thread: Biopython {peer / own:.0f} times as long")
    cells = cells_of(blocks, everything).sum() / cells_of(blocks, chosen).sum()
    for name, seconds, n_forms in (
        ("all songs, as written", written, 1),
        ("all songs, every form", every_form, len(FORMS)),
        (f"the {WANTED} best songs, every form", best, len(FORMS)),
        ("find_lick", whole, len(FORMS)),
    ):
        print(
            f"{name}: {1e3 * seconds:.0f} ms; Biopython {n_forms * cells * peer / seconds:.0f} "
            f"times as long for {n_forms} forms"
        )


def cells_of(blocks: Blocks, songs: np.ndarray) -> np.ndarray:
    """Count the notes of songs times the transpositions that are tried."""
    notes = [blocks.songs.pitches[blocks.songs.notes_of(int(song))] for song in songs]
    return np.array([len(line) * (np.ptp(line) + np.ptp(LICK) + 1) for line in notes])


def sample_seconds(blocks: Blocks, chosen: np.ndarray) -> tuple[float, float]:
    """Time both on the sample, one thread each, having seen that they agree."""
    songs = blocks.songs
    one_kind = np.zeros(len(songs.pitches), np.uint16)
    book = kernel.Songs(songs.first_notes, songs.pitches, one_kind, one_kind)
    pitches = np.array(LICK, np.int16)
    by_distance = np.rint(kernel.UNIT * learned_tables().pitch).astype(np.int16)
    nothing = np.zeros((1, len(LICK)), np.int16)
    never = np.full((1, len(LICK)), kernel.UNREACHED_16, np.int16)
    gaps = np.array([[GAP_OPEN], [GAP_EXTEND]], np.int16)
    lick = PairScores(
        lick_pitches=pitches,
        pitch=np.concatenate([by_distance[:0:-1], by_distance]),
        match=nothing,
        split=never,
        joined=never,
        lick_gaps=np.repeat(gaps, len(LICK), axis=1),
        song_gaps=np.repeat(gaps[:, :, np.newaxis], len(LICK) + 1, axis=2),
    )
    scores, shifts = np.empty((2, len(chosen)), np.int32)
    no_bonus, unknown = np.zeros(12, np.int16), np.full(songs.n_songs, -1, np.int8)
    scored: list[int] = by_distance.tolist()
    aligner = affine_aligner(
        dict(enumerate(scored)), scored[-1], (GAP_OPEN, GAP_EXTEND), kernel.Ends.SONG
    )
    lines = [songs.pitches[songs.notes_of(int(number))] for number in chosen]

    def scan() -> None:
        kernel.best_scores(book, chosen, lick, kernel.Ends.SONG, no_bonus, unknown, scores, shifts)

    def peer() -> list[float]:
        return [best_score(aligner, line, pitches) for line in lines]

    scan()
    np.testing.assert_array_equal(scores, peer())
    return median_seconds(scan, REPEATS), median_seconds(peer, REPEATS)


if __name__ == "__main__":
    main()
