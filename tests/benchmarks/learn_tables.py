"""Learn the tables of the alignment from songs of one title, and write them into the package.

Run: python -m tests.benchmarks.learn_tables [--write]

Singers and fiddlers vary a tune as they play it: songs of one title are candidates for versions of
one melody. Each two of them are aligned by their best common stretch; pairs that score far above
songs of different titles are kept, those that are nearly identical are not, since they say nothing
of variation. What meets what in their alignments, against what would meet by accident, gives new
tables, and so on for some rounds. Only titles of the tuning half are used.

Source
------
Henikoff & Henikoff, "Amino acid substitution matrices from protein blocks", PNAS 89 (1992)
10915-10919: log-odds of aligned pairs (from memory).
"""

import argparse
import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from itertools import chain, combinations
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

import melodex.alignment.learned_tables as tables_module
from melodex.alignment.forms import AS_WRITTEN, INSIDE_A_ROLL, Form
from melodex.alignment.learned_tables import (
    BEAT_CLASSES,
    PLACE_CLASSES,
    LearnedTables,
    beat_classes,
    place_classes,
)
from melodex.alignment.pair_scores import (
    LickNotes,
    kinds_of,
    lick_line,
    pair_scores,
    shares_of_measure,
)
from melodex.index.song_arrays import SongArrays
from melodex.kernels import alignment_paths as paths
from melodex.kernels import pair_alignment as kernel
from melodex.kernels.lane_columns import PairScores
from melodex.model.song import Song
from tests.benchmarks.learned_counts import (
    Counts,
    count_pair,
    estimate,
    estimate_scale,
    first_guess,
)
from tests.benchmarks.quality.retrieval_books import (
    COLLECTIONS,
    plain_book,
    rolled_book,
    rolled_songs,
)
from tests.benchmarks.quality.retrieval_same_title import GROUP_SIZES
from tests.benchmarks.quality.retrieval_titles import half_of, title_key

NOT_SCORES = ("filler", "filler_after", "tonics_meet", "degrees")  # of pairs and gaps
HALF = "tuning"
ROUNDS = 5
SEED = 20261128
# Of scores of songs of different titles; one pair in 400 of those kept may be by chance.
THRESHOLD = 0.9975


class Pairing:
    """Aligns songs by their best common stretch."""

    def __init__(self, songs: SongArrays, tables: LearnedTables, form: Form = AS_WRITTEN) -> None:
        self._songs, self._tables, self._form = songs, tables, form
        self._notes = kernel.Songs(
            songs.first_notes, songs.pitches, songs.kinds, songs.joined_kinds
        )
        self._kinds = kinds_of(songs)
        self._no_bonus = np.zeros(12, np.int16)
        self._tonics = np.full(len(songs.first_notes) - 1, -1, np.int8)

    def scores_of_line(self, line: LickNotes) -> PairScores:
        """Score the notes of a line with every kind of note."""
        return pair_scores(line, self._kinds, self._form, self._tables)

    def scores_of(self, song: int) -> PairScores:
        """Score one song's notes with every kind of note."""
        notes = self._songs.notes_of(song)
        line = LickNotes(
            self._songs.pitches[notes],
            self._songs.beat_strengths[notes],
            self._songs.durations[notes],
            self._songs.carries_melody[notes],
            self._songs.kind_scale[self._songs.kinds[notes]],
        )
        return self.scores_of_line(line)

    def best(
        self,
        scores: PairScores,
        others: NDArray[np.int64],
        ends: kernel.Ends = kernel.Ends.BOTH,
    ) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
        """Score the best stretch that one song has in common with each other, and where to move."""
        found, shifts = np.empty(len(others), np.int32), np.empty(len(others), np.int32)
        bonus = self._no_bonus.astype(scores.match.dtype)
        kernel.best_scores(self._notes, others, scores, ends, bonus, self._tonics, found, shifts)
        return found, shifts

    def path(
        self,
        scores: PairScores,
        other: int,
        shift: int,
        ends: kernel.Ends = kernel.Ends.BOTH,
    ) -> NDArray[np.int32]:
        """Trace the best stretch; as ``steps_of_path``."""
        totals, moves = paths.align(
            self._notes, other, scores, ends, shift, np.zeros((0, 0), np.bool_), False
        )
        if ends == kernel.Ends.SONG:
            totals[:-1] = -(10**9)
        i, j = np.unravel_index(totals.argmax(), totals.shape)
        return paths.steps_of_path(moves, int(i), int(j))


class Candidates(NamedTuple):
    """Pairs of songs of one title, which may be versions of a tune, and pairs of strangers."""

    versions: dict[int, list[int]]  # of each song the later ones of its title
    strangers: list[tuple[int, int]]

    @property
    def n_pairs(self) -> int:
        """How many pairs of one title there are."""
        return sum(map(len, self.versions.values()))


def candidates_of(songs: Sequence[Song]) -> Candidates:
    """Pair the songs of one title, of the half that may be learned from."""
    groups: dict[str, list[int]] = defaultdict(list)
    for number, song in enumerate(songs):
        if half_of(song.title) == HALF:
            groups[title_key(song.title)].append(number)
    versions: dict[int, list[int]] = defaultdict(list)
    for _, members in sorted(groups.items()):
        if len(members) in GROUP_SIZES:
            for one, other in combinations(members, 2):
                versions[one].append(other)
    rng = np.random.default_rng(SEED)
    everyone = np.array(sorted(chain.from_iterable(groups.values())))
    strangers = [
        (one, int(rng.choice(everyone))) for one, others in versions.items() for _ in others
    ]
    return Candidates(versions, strangers)


def count_round(
    candidates: Candidates, songs: SongArrays, tables: LearnedTables
) -> tuple[Counts, float]:
    """Align all candidates with the tables of one round; return what is seen and the threshold."""
    counts, pairing = Counts(), Pairing(songs, tables)
    by_chance = [
        int(pairing.best(pairing.scores_of(one), np.array([other]))[0][0])
        for one, other in candidates.strangers
    ]
    least = float(np.quantile(by_chance, THRESHOLD))
    for one, others in candidates.versions.items():
        scores = pairing.scores_of(one)
        found, shifts = pairing.best(scores, np.array(others))
        for place in np.flatnonzero(found > least).tolist():
            shift = int(shifts[place])
            steps = pairing.path(scores, others[place], shift)
            count_pair(counts, songs, one, others[place], steps, shift)
    return counts, least


def learn(rounds: int = ROUNDS) -> tuple[LearnedTables, dict[str, Any]]:
    """Learn the tables; return them and what they were learned from."""
    book = plain_book()
    candidates = candidates_of(book.songs)
    tables, counts, least = first_guess(), Counts(), 0.0
    for _ in range(rounds):
        counts, least = count_round(candidates, book.blocks.songs, tables)
        tables = estimate(counts)
    tables = replace(
        tables,
        degrees=learn_degrees(),
        scale=learn_scale(candidates, book.blocks.songs, tables, rounds),
    )
    tables = learn_rolls(tables)
    return tables, {
        "collections": list(COLLECTIONS),
        "titles": HALF,
        "candidate_pairs": candidates.n_pairs,
        "pairs_used": counts.pairs,
        "copies_left_out": counts.copies,
        "notes_matched": int(counts.pitch[0].sum()),
        "rounds": rounds,
        "threshold": least / kernel.UNIT,
        "script": "tests/benchmarks/learn_tables.py",
    }


def learn_scale(
    candidates: Candidates, songs: SongArrays, tables: LearnedTables, rounds: int = ROUNDS
) -> NDArray[np.float64]:
    """Learn what it says that notes lie in or outside the scales of their keys.

    After the other tables, which then are the same for melodies whose keys are unknown.
    """
    for _ in range(rounds):
        counts, _ = count_round(candidates, songs, tables)
        tables = replace(tables, scale=estimate_scale(counts))
    return tables.scale


def learn_rolls(tables: LearnedTables, rounds: int = ROUNDS) -> LearnedTables:
    """Learn which notes of a roll only fill, by aligning arrangements in rolls with their tunes."""
    book = rolled_book(strings_known=True)
    plain = plain_book().songs
    chosen = [n for n in sorted(rolled_songs()) if half_of(plain[n].title) == HALF]
    for _ in range(rounds):
        # [whether it may carry, whether in a gap, beat or place]
        by_beat, by_place = np.ones((2, 2, BEAT_CLASSES + 1)), np.ones((2, 2, PLACE_CLASSES + 1))
        pairing = Pairing(book.blocks.songs, tables, INSIDE_A_ROLL)
        for number in chosen:
            line = lick_line(plain[number].melody)
            scores = pairing.scores_of_line(line)
            _, shifts = pairing.best(scores, np.array([number]), kernel.Ends.SONG)
            steps = pairing.path(scores, number, int(shifts[0]), kernel.Ends.SONG)
            notes = book.blocks.songs.notes_of(number)
            carries = book.blocks.songs.carries_melody[notes].astype(int)
            strengths = book.blocks.songs.beat_strengths[notes]
            shares = np.concatenate([[0.0], shares_of_measure(line)])
            for in_gap, move in enumerate((paths.MATCH, paths.SONG_GAP)):
                before, at = steps[steps[:, 0] == move, 1:].T
                places = place_classes(strengths[at], shares[before])
                for seen, classes in ((by_beat, beat_classes(strengths[at])), (by_place, places)):
                    np.add.at(seen, (carries[at], np.full(len(at), in_gap), classes), 1)
        tables = replace(
            tables,
            filler=(by_beat[:, 1] / by_beat.sum(axis=1))[:, :BEAT_CLASSES],
            filler_after=(by_place[:, 1] / by_place.sum(axis=1))[:, :PLACE_CLASSES],
        )
    return tables


def learn_degrees() -> NDArray[np.float64]:
    """Count how often each degree of the scale is played, in major and in minor keys."""
    seen = np.ones((2, 12))
    for song in plain_book().songs:
        if half_of(song.title) == HALF and song.key and song.key.tonic_pitch_class is not None:
            third = 0 if "major" in song.key.mode or "mixolydian" in song.key.mode else 1
            degrees = (song.melody.pitches.astype(int) - song.key.tonic_pitch_class) % 12
            seen[third] += np.bincount(degrees, minlength=12)
    frequencies: NDArray[np.float64] = np.log(seen / seen.sum(axis=1, keepdims=True))
    return frequencies


def as_json(tables: LearnedTables, learned_from: dict[str, Any]) -> str:
    """Write tables and their provenance as the package carries them.

    Scores are whole numbers of the kernels' units, so that sums of them are exact.
    """
    plain: dict[str, Any] = {}
    for name in LearnedTables.__dataclass_fields__:
        values = np.asarray(getattr(tables, name))
        in_units = np.rint(values * kernel.UNIT) / kernel.UNIT
        plain[name] = (np.round(values, 3) if name in NOT_SCORES else in_units).tolist()
    return json.dumps({"learned_from": learned_from, "tables": plain}, indent=1) + "\n"


def main() -> None:
    """Learn the tables, print them, and write them where that is wanted."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--write", action="store_true", help="replace the package's tables")
    wanted = parser.parse_args()
    text = as_json(*learn())
    print(text)
    if wanted.write:
        folder = Path(tables_module.__file__).parent
        (folder / tables_module.TABLES_FILE).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
