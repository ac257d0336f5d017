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
from dataclasses import dataclass, field, replace
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

import melodex.alignment.learned_tables as tables_module
from melodex.alignment.forms import AS_WRITTEN, INSIDE_A_ROLL, Form
from melodex.alignment.learned_tables import (
    BEAT_CLASSES,
    LearnedTables,
    beat_classes,
    duration_steps,
)
from melodex.alignment.pair_scores import Line, kinds_of, lick_line, pair_scores
from melodex.features.note_kinds import stepped_log_durations
from melodex.index.song_arrays import SongArrays
from melodex.kernels import alignment_paths as paths
from melodex.kernels import pair_alignment as kernel
from tests.benchmarks.retrieval_books import COLLECTIONS, plain_book, rolled_book, rolled_songs
from tests.benchmarks.retrieval_same_title import GROUP_SIZES
from tests.benchmarks.retrieval_titles import half_of, title_key

HALF = "tuning"
ROUNDS = 5
SEED = 20261128
# Of scores of songs of different titles; one pair in 400 of those kept may be by chance.
THRESHOLD = 0.9975
FEWEST_MATCHES = 8
IDENTICAL = 0.97  # of the notes: such pairs are copies
PSEUDO_COUNT = 5.0
# Beat strengths and durations of a note depend on each other, and tables learned from their own
# alignments shun what is rare too much: on the tuning half of part (d) a half did best.
BEAT_WEIGHT = 0.5
LEAST_GAP = -8.0  # nats; of what was hardly seen the estimate is not to be trusted
PITCH_CLASSES = 14  # distances of 0 to 12 half-steps, and more
DURATION_STEPS = 5
NOT_SCORES = ("filler", "tonics_meet", "degrees")  # of pairs and gaps


def first_guess() -> LearnedTables:
    """Return the tables that the first round aligns with: equal pitches, and little else."""
    return LearnedTables(
        pitch=np.array([1.5, *[-1.5] * (PITCH_CLASSES - 1)]),
        beat=np.zeros((BEAT_CLASSES, BEAT_CLASSES)),
        duration=np.array([0.3, -0.3, -0.6, -1.0, -1.5]),
        split=-2.0,
        gap_open=np.array([-2.0, -2.5, -3.0, -4.0, -5.0]),
        gap_open_off_beat=-3.0,
        gap_extend=-1.0,
        filler=np.array([[0.8] * BEAT_CLASSES, [0.3] * BEAT_CLASSES]),
        tonics_meet=0.5,
        degrees=np.zeros((2, 12)),
    )


@dataclass
class Counts:
    """What was seen in alignments, and what would be seen by accident."""

    pitch: NDArray[np.float64] = field(default_factory=lambda: np.zeros((2, PITCH_CLASSES)))
    beat: NDArray[np.float64] = field(
        default_factory=lambda: np.zeros((2, BEAT_CLASSES, BEAT_CLASSES))
    )
    duration: NDArray[np.float64] = field(default_factory=lambda: np.zeros((2, DURATION_STEPS)))
    gaps: NDArray[np.float64] = field(default_factory=lambda: np.zeros(BEAT_CLASSES))
    matched: NDArray[np.float64] = field(default_factory=lambda: np.zeros(BEAT_CLASSES))
    extended: float = 0.0
    splits: float = 0.0
    repeats: float = 0.0  # notes of one pitch that could have been a split
    tonics: int = 0  # pairs whose tonics are known
    tonics_met: int = 0
    pairs: int = 0
    copies: int = 0


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

    def scores_of_line(self, line: Line) -> kernel.PairScores:
        """Score the notes of a line with every kind of note."""
        return pair_scores(line, self._kinds, self._form, self._tables)

    def scores_of(self, song: int) -> kernel.PairScores:
        """Score one song's notes with every kind of note."""
        notes = self._songs.notes_of(song)
        line = Line(
            self._songs.pitches[notes],
            self._songs.beat_strengths[notes],
            self._songs.durations[notes],
            self._songs.carries_melody[notes],
        )
        return self.scores_of_line(line)

    def best(
        self,
        scores: kernel.PairScores,
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
        scores: kernel.PairScores,
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


def count_pair(
    counts: Counts, songs: SongArrays, one: int, other: int, steps: NDArray[np.int32], shift: int
) -> None:
    """Add what one alignment shows, unless it is short or a copy."""
    a, b = songs.notes_of(one), songs.notes_of(other)
    apart = songs.pitches[b].astype(int) - songs.pitches[a].astype(int)[:, np.newaxis] - shift
    pitch = np.minimum(np.abs(apart), PITCH_CLASSES - 1)
    logs = stepped_log_durations(songs.durations[a]), stepped_log_durations(songs.durations[b])
    duration = duration_steps(logs[0][:, np.newaxis] - logs[1])
    classes = beat_classes(songs.beat_strengths[a]), beat_classes(songs.beat_strengths[b])
    of_match = steps[steps[:, 0] == paths.MATCH]
    i, j = of_match[:, 1], of_match[:, 2]
    if len(of_match) < FEWEST_MATCHES:
        return
    same = (pitch[i, j] == 0) & (duration[i, j] == 0)
    if same.mean() > IDENTICAL and len(of_match) == len(steps):
        counts.copies += 1
        return
    counts.pairs += 1
    tonics = songs.song_tonics[[one, other]].astype(int)
    if (tonics >= 0).all():
        counts.tonics += 1
        counts.tonics_met += int((tonics[0] + shift - tonics[1]) % 12 == 0)
    n = len(of_match)
    counts.pitch[0] += np.bincount(pitch[i, j], minlength=PITCH_CLASSES)
    counts.pitch[1] += n * np.bincount(pitch.ravel(), minlength=PITCH_CLASSES) / pitch.size
    counts.duration[0] += np.bincount(duration[i, j], minlength=DURATION_STEPS)
    counts.duration[1] += (
        n * np.bincount(duration.ravel(), minlength=DURATION_STEPS) / duration.size
    )
    np.add.at(counts.beat[0], (classes[0][i], classes[1][j]), 1)
    shares = [np.bincount(each, minlength=BEAT_CLASSES) / len(each) for each in classes]
    counts.beat[1] += n * np.outer(*shares)
    repeats = np.diff(songs.pitches[b], prepend=-1) == 0
    counts.repeats += float(repeats[j].sum()) + float(
        (np.diff(songs.pitches[a], prepend=-1) == 0)[i].sum()
    )
    counts.splits += float(np.isin(steps[:, 0], (paths.SPLIT, paths.JOINED)).sum())
    for own, side, move in ((classes[0], 1, paths.LICK_GAP), (classes[1], 2, paths.SONG_GAP)):
        in_gap = steps[:, 0] == move
        opens = in_gap & ~np.concatenate([[False], in_gap[:-1]])
        counts.gaps += np.bincount(own[steps[opens, side]], minlength=BEAT_CLASSES)
        counts.extended += float(in_gap.sum() - opens.sum())
        counts.matched += np.bincount(own[of_match[:, side]], minlength=BEAT_CLASSES)


def estimate(counts: Counts) -> LearnedTables:
    """Turn counts into log-odds, each backed by what would be seen by accident."""
    beat = _log_odds(counts.beat + counts.beat.transpose(0, 2, 1))
    # One score for equal beats, whichever: a note must score with no other more than with itself.
    same = np.trace(counts.beat[0]) / counts.beat[0].sum()
    by_accident = np.trace(counts.beat[1]) / counts.beat[1].sum()
    np.fill_diagonal(beat, np.log(same / by_accident))
    beat = np.minimum(beat, beat[0, 0])
    opens = np.log((counts.gaps + 1) / (counts.gaps + counts.matched + 2))
    return LearnedTables(
        pitch=_log_odds(counts.pitch),
        beat=BEAT_WEIGHT * beat,
        duration=_log_odds(counts.duration),
        split=float(np.log((counts.splits + 1) / (counts.repeats + counts.splits + 2))),
        gap_open=np.maximum(opens, LEAST_GAP),
        gap_open_off_beat=float(
            np.log(counts.gaps.sum() / (counts.gaps.sum() + counts.matched.sum()))
        ),
        gap_extend=float(np.log((counts.extended + 1) / (counts.extended + counts.gaps.sum() + 2))),
        filler=first_guess().filler,
        tonics_meet=float((counts.tonics_met + 1) / (counts.tonics + 2)),
        degrees=first_guess().degrees,
    )


def _log_odds(counts: NDArray[np.float64]) -> NDArray[np.float64]:
    by_accident = counts[1] / counts[1].sum()
    seen = counts[0] + PSEUDO_COUNT * by_accident * by_accident.size
    return np.log(seen / seen.sum() / np.maximum(by_accident, 1e-9))


def learn(rounds: int = ROUNDS) -> tuple[LearnedTables, dict[str, Any]]:
    """Learn the tables; return them and what they were learned from."""
    book = plain_book()
    groups: dict[str, list[int]] = defaultdict(list)
    for number, song in enumerate(book.songs):
        if half_of(song.title) == HALF:
            groups[title_key(song.title)].append(number)
    pairs = [
        pair
        for _, members in sorted(groups.items())
        if len(members) in GROUP_SIZES
        for pair in combinations(members, 2)
    ]
    rng = np.random.default_rng(SEED)
    everyone = np.array(sorted(sum(groups.values(), [])))
    strangers = [(one, int(rng.choice(everyone))) for one, _ in pairs]
    tables, counts = first_guess(), Counts()
    for _ in range(rounds):
        counts, by_chance = Counts(), []
        pairing = Pairing(book.blocks.songs, tables)
        versions: dict[int, list[int]] = defaultdict(list)
        for one, other in pairs:
            versions[one].append(other)
        for one, other in strangers:
            found, _ = pairing.best(pairing.scores_of(one), np.array([other]))
            by_chance.append(int(found[0]))
        least = np.quantile(by_chance, THRESHOLD)
        for one, others in versions.items():
            scores = pairing.scores_of(one)
            found, shifts = pairing.best(scores, np.array(others))
            for place in np.flatnonzero(found > least).tolist():
                steps = pairing.path(scores, others[place], int(shifts[place]))
                count_pair(counts, book.blocks.songs, one, others[place], steps, int(shifts[place]))
        tables = estimate(counts)
    tables = replace(tables, degrees=learn_degrees(), filler=learn_rolls(tables))
    return tables, {
        "collections": list(COLLECTIONS),
        "titles": HALF,
        "candidate_pairs": len(pairs),
        "pairs_used": counts.pairs,
        "copies_left_out": counts.copies,
        "notes_matched": int(counts.pitch[0].sum()),
        "rounds": rounds,
        "threshold": float(least / kernel.UNIT),
        "script": "tests/benchmarks/learn_tables.py",
    }


def learn_rolls(tables: LearnedTables, rounds: int = ROUNDS) -> NDArray[np.float64]:
    """Learn which notes of a roll only fill, by aligning arrangements in rolls with their tunes."""
    book = rolled_book(strings_known=True)
    plain = plain_book().songs
    chosen = [n for n in sorted(rolled_songs()) if half_of(plain[n].title) == HALF]
    for _ in range(rounds):
        seen = np.ones((2, 2, BEAT_CLASSES))  # [whether it may carry, whether in a gap, beat]
        pairing = Pairing(book.blocks.songs, tables, INSIDE_A_ROLL)
        for number in chosen:
            scores = pairing.scores_of_line(lick_line(plain[number].melody))
            found, shifts = pairing.best(scores, np.array([number]), kernel.Ends.SONG)
            steps = pairing.path(scores, number, int(shifts[0]), kernel.Ends.SONG)
            notes = book.blocks.songs.notes_of(number)
            carries = book.blocks.songs.carries_melody[notes].astype(int)
            classes = beat_classes(book.blocks.songs.beat_strengths[notes])
            for in_gap, move in enumerate((paths.MATCH, paths.SONG_GAP)):
                at = steps[steps[:, 0] == move, 2]
                np.add.at(seen, (carries[at], in_gap, classes[at]), 1)
        tables = replace(tables, filler=seen[:, 1] / seen.sum(axis=1))
    return tables.filler


def learn_degrees() -> NDArray[np.float64]:
    """Count how often each degree of the scale is played, in major and in minor keys."""
    seen = np.ones((2, 12))
    for song in plain_book().songs:
        if half_of(song.title) == HALF and song.key and song.key.tonic_pitch_class is not None:
            third = 0 if "major" in song.key.mode or "mixolydian" in song.key.mode else 1
            degrees = (song.melody.pitches.astype(int) - song.key.tonic_pitch_class) % 12
            seen[third] += np.bincount(degrees, minlength=12)
    return np.log(seen / seen.sum(axis=1, keepdims=True))


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
