"""What alignments of versions show, and the log-odds that follow from it."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.learned_tables import (
    BEAT_CLASSES,
    PLACE_CLASSES,
    LearnedTables,
    beat_classes,
    duration_steps,
)
from melodex.features.note_kinds import stepped_log_durations
from melodex.index.song_arrays import SongArrays
from melodex.kernels import alignment_paths as paths

FEWEST_MATCHES = 8
IDENTICAL = 0.97  # of the notes: such pairs are copies
PSEUDO_COUNT = 5.0
LEAST_SHARE = 1e-9  # of what was never seen, nor would be by accident
# Beat strengths and durations of a note depend on each other, and tables learned from their own
# alignments shun what is rare too much: on the tuning half of part (d) a half did best.
BEAT_WEIGHT = 0.5
LEAST_GAP = -8.0  # nats; of what was hardly seen the estimate is not to be trusted
IN_OR_OUTSIDE = 2  # the scale
PITCH_CLASSES = 14  # distances of 0 to 12 half-steps, and more
DURATION_STEPS = 5


def first_guess() -> LearnedTables:
    """Return the tables that the first round aligns with: equal pitches, and little else."""
    return LearnedTables(
        pitch=np.array([1.5, *[-1.5] * (PITCH_CLASSES - 1)]),
        beat=np.zeros((BEAT_CLASSES, BEAT_CLASSES)),
        duration=np.array([0.3, -0.3, -0.6, -1.0, -1.5]),
        scale=np.zeros((IN_OR_OUTSIDE, IN_OR_OUTSIDE)),
        split=-2.0,
        gap_open=np.array([-2.0, -2.5, -3.0, -4.0, -5.0]),
        gap_open_off_beat=-3.0,
        gap_extend=-1.0,
        filler=np.array([[0.8] * BEAT_CLASSES, [0.3] * BEAT_CLASSES]),
        filler_after=np.array([[0.8] * PLACE_CLASSES, [0.8, 0.8, 0.8, 0.1, 0.1]]),
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
    # Seen alone: by accident notes of any two songs would meet, not of two that are alike.
    scale: NDArray[np.float64] = field(
        default_factory=lambda: np.zeros((IN_OR_OUTSIDE, IN_OR_OUTSIDE))
    )
    gaps: NDArray[np.float64] = field(default_factory=lambda: np.zeros(BEAT_CLASSES))
    matched: NDArray[np.float64] = field(default_factory=lambda: np.zeros(BEAT_CLASSES))
    extended: float = 0.0
    splits: float = 0.0
    repeats: float = 0.0  # notes of one pitch that could have been a split
    tonics: int = 0  # pairs whose tonics are known
    tonics_met: int = 0
    pairs: int = 0
    copies: int = 0


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
    i, j = steps[steps[:, 0] == paths.MATCH, 1:].T
    if len(i) < FEWEST_MATCHES:
        return
    same = (pitch[i, j] == 0) & (duration[i, j] == 0)
    if same.mean() > IDENTICAL and len(i) == len(steps):
        counts.copies += 1
        return
    counts.pairs += 1
    _count_tonics(counts, songs.song_tonics[[one, other]].astype(int), shift)
    for seen, table in ((counts.pitch, pitch), (counts.duration, duration)):
        seen[0] += np.bincount(table[i, j], minlength=seen.shape[1])
        seen[1] += len(i) * np.bincount(table.ravel(), minlength=seen.shape[1]) / table.size
    known = (classes[0][i] < BEAT_CLASSES) & (classes[1][j] < BEAT_CLASSES)
    np.add.at(counts.beat[0], (classes[0][i[known]], classes[1][j[known]]), 1)
    shares = [_by_beat(each) / len(each) for each in classes]
    counts.beat[1] += len(i) * np.outer(*shares)
    scales = songs.kind_scale[songs.kinds[a]][i], songs.kind_scale[songs.kinds[b]][j]
    known = (scales[0] < IN_OR_OUTSIDE) & (scales[1] < IN_OR_OUTSIDE)
    np.add.at(counts.scale, (scales[0][known], scales[1][known]), 1)
    for notes, matched in ((songs.pitches[a], i), (songs.pitches[b], j)):
        counts.repeats += float((np.diff(notes, prepend=-1) == 0)[matched].sum())
    counts.splits += float(np.isin(steps[:, 0], (paths.SPLIT, paths.JOINED)).sum())
    _count_gaps(counts, steps, classes)


def _count_tonics(counts: Counts, tonics: NDArray[np.int_], shift: int) -> None:
    """Count whether the tonics of two songs meet, where both are known."""
    if (tonics >= 0).all():
        counts.tonics += 1
        counts.tonics_met += int((tonics[0] + shift - tonics[1]) % 12 == 0)


def _count_gaps(
    counts: Counts, steps: NDArray[np.int32], classes: tuple[NDArray[np.intp], NDArray[np.intp]]
) -> None:
    """Count the notes of gaps, and those that match, by the beats of their own song."""
    matches = steps[:, 0] == paths.MATCH
    for own, side, move in ((classes[0], 1, paths.LICK_GAP), (classes[1], 2, paths.SONG_GAP)):
        in_gap = steps[:, 0] == move
        opens = in_gap & ~np.concatenate([[False], in_gap[:-1]])
        counts.gaps += _by_beat(own[steps[opens, side]])
        counts.extended += float(in_gap.sum() - opens.sum())
        counts.matched += _by_beat(own[steps[matches, side]])


def _by_beat(classes: NDArray[np.intp]) -> NDArray[np.float64]:
    """Count the notes of each class of beats; those on unknown beats are left out."""
    return np.bincount(classes, minlength=BEAT_CLASSES)[:BEAT_CLASSES].astype(np.float64)


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
        scale=first_guess().scale,
        split=float(np.log((counts.splits + 1) / (counts.repeats + counts.splits + 2))),
        gap_open=np.maximum(opens, LEAST_GAP),
        gap_open_off_beat=float(
            np.log(counts.gaps.sum() / (counts.gaps.sum() + counts.matched.sum()))
        ),
        gap_extend=float(np.log((counts.extended + 1) / (counts.extended + counts.gaps.sum() + 2))),
        filler=first_guess().filler,
        filler_after=first_guess().filler_after,
        tonics_meet=float((counts.tonics_met + 1) / (counts.tonics + 2)),
        degrees=first_guess().degrees,
    )


def estimate_scale(counts: Counts) -> NDArray[np.float64]:
    """Turn counts of what meets what in scales into log-odds; 0 where no key is known.

    A note must score with no other more than with itself.
    """
    seen = counts.scale + counts.scale.T
    shares = (seen.sum(axis=1) + 1) / (seen.sum() + IN_OR_OUTSIDE)
    odds = _log_odds(np.stack([seen, np.outer(shares, shares)]))
    return np.minimum(odds, np.where(np.eye(IN_OR_OUTSIDE), odds, odds.diagonal().min()))


def _log_odds(counts: NDArray[np.float64]) -> NDArray[np.float64]:
    by_accident = counts[1] / counts[1].sum()
    seen = counts[0] + PSEUDO_COUNT * by_accident * by_accident.size
    odds: NDArray[np.float64] = np.log(
        np.maximum(seen / seen.sum(), LEAST_SHARE) / np.maximum(by_accident, LEAST_SHARE)
    )
    return odds
