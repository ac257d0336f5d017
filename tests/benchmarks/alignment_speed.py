"""Stage 2 against a general-purpose aligner, in one run and with equal scores.

Run: python -m tests.benchmarks.alignment_speed

First both score one lick in the same sample of songs at every transposition by pitch alone, the
only scoring that both can express, and are seen to agree. Then a warm question to all bundled
songs, in all its forms and weighed, and a warm ``find_lick``, which adds places and the chance
level, beside Biopython's time for the same pairs of notes: its time on the sample, carried on to
the notes and transpositions of the songs that each form asks.
"""

import numpy as np

from melodex.alignment.kernel_notes import Line, Variant, asked_lick, pitch_rules, read_only
from melodex.alignment.pair_weights import Rhythm, Weighing
from melodex.alignment.passage import ask_songs
from melodex.alignment.questions import questions_for
from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.finder.find_lick import find_lick
from melodex.index.blocks import Blocks, load_blocks
from melodex.kernels import weighted_alignment as kernel
from melodex.parsing.lick_numbers import lick_from_notes
from tests.benchmarks.measuring import bundled_catalogue, median_seconds
from tests.reference.general_aligner import best_score, semi_global_aligner

SAMPLE = 200  # songs
GAP = 0.75
NEVER = 3.6  # leaving out three notes costs less
PITCH_ALONE = AlignmentSettings(split_price=NEVER)
LICK = (62, 64, 67, 71, 69, 67, 64, 62)
REPEATS = 3


def main() -> None:
    lick = lick_from_notes(LICK, np.arange(len(LICK)) / 2, np.full(len(LICK), 0.5))
    with bundled_catalogue() as catalogue:
        blocks = load_blocks(catalogue)
        chosen = np.linspace(0, len(blocks.song_ids) - 1, SAMPLE).astype(np.int64)
        own, peer = sample_seconds(blocks, chosen)
        everything = np.arange(len(blocks.song_ids))
        asked = median_seconds(lambda: ask_songs(lick.melody, blocks.songs, everything))
        whole = median_seconds(lambda: find_lick(catalogue, lick))
    print(f"{SAMPLE} songs, one form, one thread: Biopython {peer / own:.0f} times as long")
    work = cells_of(blocks, everything)
    same_pairs = sum(
        question.worth.shape[1] * work[question.asked].sum()
        for question in questions_for(lick.melody, blocks.songs, DEFAULT_SETTINGS)
    )
    by_peer = peer / work[chosen].sum()
    for name, seconds in (("all songs, every form", asked), ("find_lick", whole)):
        print(
            f"{name}: {1e3 * seconds:.0f} ms; Biopython {by_peer * same_pairs / seconds:.0f} "
            f"times as long, with one form alone {by_peer * work.sum() / seconds:.0f} times"
        )


def cells_of(blocks: Blocks, songs: np.ndarray) -> np.ndarray:
    """Count the notes of songs times the transpositions that are tried."""
    notes = [blocks.songs.pitches[blocks.songs.notes_of(int(song))] for song in songs]
    return np.array([len(line) * (np.ptp(line) + np.ptp(LICK) + 1) for line in notes])


def sample_seconds(blocks: Blocks, chosen: np.ndarray) -> tuple[float, float]:
    """Time both on the sample, one thread each, having seen that they agree."""
    songs = blocks.songs
    one_kind = np.zeros(len(songs.pitches), np.uint16)
    gap = np.full(1, round(kernel.UNIT * GAP), np.int16)
    book = kernel.Songs(
        read_only(songs.first_notes),
        read_only(songs.pitches),
        read_only(one_kind),
        read_only(one_kind),
        gap,
    )
    ones = np.ones(len(LICK))
    pitches = np.array(LICK, np.int16)
    lick = asked_lick(
        Line(pitches, ones, ones, GAP * ones),
        Rhythm(np.ones(1, np.float32), np.zeros(1, np.float32)),
        [Variant(Weighing(0.0, 0.0))],
        NEVER,
    )
    rules = pitch_rules(PITCH_ALONE)
    scores = np.empty((len(chosen), 1), np.int32)
    shifts = np.empty((len(chosen), 1), np.int32)
    aligner = semi_global_aligner(PITCH_ALONE.pitch_similarity, GAP)
    lines = [songs.pitches[songs.notes_of(int(number))] for number in chosen]

    def scan() -> None:
        kernel.scan_passages(book, chosen, lick, rules, scores, shifts)

    def peer() -> list[float]:
        return [best_score(aligner, line, pitches) for line in lines]

    scan()
    np.testing.assert_allclose(scores[:, 0] / kernel.UNIT, peer(), atol=1e-4)
    return median_seconds(scan, REPEATS), median_seconds(peer, REPEATS)


if __name__ == "__main__":
    main()
