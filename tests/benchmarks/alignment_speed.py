"""Stage 2 against a general-purpose aligner, in one run and with equal scores.

Run: python -m tests.benchmarks.alignment_speed

Both score one lick in the same songs at every transposition by pitch alone, the only scoring that
both can express. Then a warm ``find_lick`` over all bundled songs, in all its forms and with its
chance level, beside Biopython's time for the one form, carried on from the sample to all songs.
"""

import numpy as np

from melodex.alignment.passage import ask_songs, pair_rules, written_notes
from melodex.alignment.settings import AlignmentSettings
from melodex.finder.find_lick import find_lick
from melodex.index.blocks import Blocks, load_blocks
from melodex.kernels.weighted_alignment import scan_passages
from melodex.parsing.lick_text import lick_from_notes
from tests.benchmarks.measuring import bundled_catalogue, median_seconds
from tests.reference.general_aligner import best_score, semi_global_aligner

SAMPLE = 200  # songs
GAP = 0.75
PITCH_ALONE = AlignmentSettings(
    beat_weight=0.0, duration_weight=0.0, gap_price=GAP, gap_relief=0.0, split_price=1e6
)
LICK = (62, 64, 67, 71, 69, 67, 64, 62)
REPEATS = 3


def main() -> None:
    lick = lick_from_notes(LICK, np.arange(len(LICK)) / 2, np.full(len(LICK), 0.5))
    with bundled_catalogue() as catalogue:
        blocks = load_blocks(catalogue)
        chosen = np.linspace(0, len(blocks.song_ids) - 1, SAMPLE).astype(np.int64)
        own, peer = sample_seconds(blocks, chosen)
        whole = median_seconds(lambda: find_lick(catalogue, lick))
        asked = median_seconds(
            lambda: ask_songs(lick.melody, blocks.songs, np.arange(len(blocks.song_ids)))
        )
    notes = np.diff(blocks.songs.first_notes)
    all_by_peer = peer * notes.sum() / notes[chosen].sum()
    print(f"{SAMPLE} songs, one form: {1e3 * own:.2f} ms; Biopython {peer / own:.0f} times as long")
    print(
        f"all songs, every form: {1e3 * asked:.0f} ms; find_lick {1e3 * whole:.0f} ms; Biopython, "
        f"one form: {all_by_peer / whole:.0f} times as long as find_lick"
    )


def sample_seconds(blocks: Blocks, chosen: np.ndarray) -> tuple[float, float]:
    """Time both on the sample, one thread each, having seen that they agree."""
    songs = blocks.songs
    ones = np.ones(len(songs.pitches))
    book = written_notes(songs.pitches, ones, ones, PITCH_ALONE)
    pitches = np.array(LICK, np.int16)
    ones = np.ones(len(LICK))
    lick = written_notes(pitches, ones, ones, PITCH_ALONE)
    rules = pair_rules(PITCH_ALONE)
    scores = np.empty(len(chosen), np.float32)
    shifts = np.empty(len(chosen), np.int32)
    first = np.array(songs.first_notes)
    aligner = semi_global_aligner(PITCH_ALONE.pitch_similarity, GAP)
    lines = [songs.pitches[songs.notes_of(int(number))] for number in chosen]

    def scan() -> None:
        scan_passages(book, first, chosen, lick, rules, scores, shifts)

    def peer() -> list[float]:
        return [best_score(aligner, line, pitches) for line in lines]

    scan()
    np.testing.assert_allclose(scores, peer(), atol=1e-4)
    return median_seconds(scan, REPEATS), median_seconds(peer, REPEATS)


if __name__ == "__main__":
    main()
