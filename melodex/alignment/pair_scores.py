"""Scores of a lick's notes with the kinds of a catalogue's notes, for the kernels, by form."""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches, Strengths
from melodex.alignment.forms import Form
from melodex.alignment.learned_tables import (
    BEAT_CLASSES,
    UNKNOWN_PLACE,
    LearnedTables,
    beat_classes,
    duration_steps,
    place_classes,
)
from melodex.features.note_kinds import stepped_log_durations
from melodex.features.scale_classes import scale_classes
from melodex.features.skeleton import carries_melody, line_pitches
from melodex.index.song_arrays import SongArrays
from melodex.kernels import pair_alignment as kernel
from melodex.kernels.lane_columns import PairScores
from melodex.model.key import Key
from melodex.model.melody import Melody

LARGEST_16 = 30_000  # the highest score allowed in 16 bits, with room for one more pair
LEAST_16 = -11_000  # the lowest score of leaving out everything, above what counts as unreached
# The weight of log P(not filler) where a note of a roll matches. The best path is only one of many
# through a roll, so the full penalty is too much: at 0.5 the songs in rolls of the tuning half are
# found by 5 to 8 notes of the tune with a mean average precision of .84 instead of .73.
NOT_FILLER_WEIGHT = 0.5


class LickNotes(NamedTuple):
    """The notes of a lick; arrays of equal length."""

    pitches: Pitches
    strengths: Strengths  # of the beat
    durations: Beats
    carries_melody: NDArray[np.bool_]
    scale: NDArray[np.int8]  # see features/scale_classes.py
    # Of a measure, that each note lasts; None where either melody must score as the other does.
    shares: NDArray[np.float64] | None = None


class Kinds(NamedTuple):
    """The kinds of a catalogue's notes; arrays of equal length."""

    strengths: NDArray[np.float32]
    log_durations: NDArray[np.float32]  # log2 of quarter notes
    carries_melody: NDArray[np.bool_]
    scale: NDArray[np.int8]


def pair_scores(
    lick: LickNotes,
    kinds: Kinds,
    form: Form,
    tables: LearnedTables,
    number: type[np.signedinteger] | None = None,
) -> PairScores:
    """Score every note of a lick with every kind of a song's notes, in one form.

    Parameters
    ----------
    number : type or None
        The integer type of the scores; None for 16 bits where no path of the lick anywhere in a
        song can overflow them, else 32.
    """
    before = np.concatenate([lick.strengths[:1], lick.strengths[:-1]])
    both = lick.durations + np.concatenate([[0.0], lick.durations[:-1]])
    of_scales = tables.of_scales(lick.scale, kinds.scale[:, np.newaxis])
    match = _rhythm_scores(lick.strengths, lick.durations, kinds, form, tables) + of_scales
    joined = _rhythm_scores(before, both, kinds, form, tables) + of_scales + tables.split
    lick_gaps = _gap_scores(_classes(lick.strengths, form.lick_doubled), form, tables)
    song_gaps = _gap_scores(_classes(kinds.strengths, form.song_doubled), form, tables)
    if form.lick_in_rolls:
        lick_gaps, kept = _roll_scores(_chances_of_filler(lick, tables))
        # Two joined notes have the beat of the first and carry no melody, as in note_kinds.
        none = np.zeros_like(lick.carries_melody)
        as_one = lick._replace(strengths=before, carries_melody=none)
        _, kept_joined = _roll_scores(_chances_of_filler(as_one, tables))
        match, joined = match + kept, joined + kept_joined
    song_gaps = np.repeat(song_gaps[:, :, np.newaxis], len(lick.pitches) + 1, axis=2)
    if form.song_in_rolls:
        # In two rolls neither says how long a note of the melody lasts.
        known = lick._replace(shares=None) if form.lick_in_rolls else lick
        song_gaps, kept = _roll_scores(_chances_after_each(kinds, known, tables))
        # Two notes of the lick as one come after the note before both.
        kept_joined = np.column_stack([kept[:, :1], kept[:, :-2]])
        match, joined = match + kept[:, :-1], joined + kept_joined
    repeats = np.diff(lick.pitches, prepend=-1) == 0
    most = tables.of_same_note + tables.of_scales(lick.scale, lick.scale)
    number = number or _number_type(float(most.sum()), lick_gaps)
    return PairScores(
        lick_pitches=lick.pitches.astype(np.int16),
        pitch=_units(_by_half_steps(tables.pitch), number),
        match=_units(match, number),
        split=_units(match + tables.split, number),
        joined=np.where(repeats, _units(joined, number), kernel.unreached_in(number)),
        lick_gaps=_units(lick_gaps, number),
        song_gaps=_units(song_gaps, number),
    )


def _rhythm_scores(
    strengths: Strengths, durations: Beats, kinds: Kinds, form: Form, tables: LearnedTables
) -> NDArray[np.float64]:
    """Score beats and durations; shape (n_kinds, n)."""
    scores = np.zeros((len(kinds.strengths), len(strengths)))
    if form.beats:
        own = _classes(strengths, form.lick_doubled)
        other = _classes(kinds.strengths, form.song_doubled)
        # An unknown beat scores 0.
        table = np.pad(tables.beat if form.durations else tables.beat_alone, (0, 1))
        scores += table[other[:, np.newaxis], own]
    if form.durations:
        octaves = float(form.song_doubled) - float(form.lick_doubled)
        apart = kinds.log_durations[:, np.newaxis] - stepped_log_durations(durations) + octaves
        scores += tables.duration[duration_steps(apart)]
    return scores


def _classes(strengths: NDArray[np.floating], is_doubled: bool) -> NDArray[np.intp]:
    """Return classes of beats, one class stronger if note values are doubled."""
    classes = beat_classes(strengths)
    return np.where(classes < BEAT_CLASSES - 1, classes + is_doubled, classes)


def _gap_scores(
    classes: NDArray[np.intp], form: Form, tables: LearnedTables
) -> NDArray[np.float64]:
    """Score the first note of a gap, and each further one; shape (2, n)."""
    opens = np.append(tables.gap_open, tables.gap_open_off_beat)[classes]
    if not form.beats:
        opens = np.full(len(classes), tables.gap_open_off_beat)
    return np.stack([opens, np.full(len(classes), tables.gap_extend)])


def _roll_scores(
    filler: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Score notes of a roll by their chances of being filler.

    Each note counts by itself: filler before a note of the melody does not make that cheap to skip.

    Returns
    -------
    gaps : shape (2, *filler.shape)
    kept : shape of filler, the addition where they match
    """
    return np.stack([np.log(filler)] * 2), NOT_FILLER_WEIGHT * np.log1p(-filler)


def shares_of_measure(lick: LickNotes) -> NDArray[np.float64]:
    """Return how much of a measure each note of a lick lasts, 0 where no beats are known.

    From one beat to another a note lasts at least the weaker one's share of a measure, and seldom
    more, so the lower third of what its notes say is the measure's length; in 3/4 and 6/8 two
    thirds of it, by which beats of 1/2 are parted. Found in all of 216 licks of 5 to 10 notes, by
    the median in 204.
    """
    weaker = np.minimum(lick.strengths[:-1], lick.strengths[1:])
    lengths = lick.durations[:-1][weaker > 0] / weaker[weaker > 0]
    if not len(lengths):
        return np.zeros(len(lick.durations))
    shares: NDArray[np.float64] = lick.durations / np.quantile(lengths, 1 / 3, method="lower")
    return shares


def _chances_after_each(
    kinds: Kinds, lick: LickNotes, tables: LearnedTables
) -> NDArray[np.float64]:
    """Return how likely each kind is filler, by how long the lick's note before it lasts.

    Returns
    -------
    shape (n_kinds, n + 1)
        Before the lick, then after each of its notes.
    """
    lasting = np.zeros(len(lick.pitches)) if lick.shares is None else lick.shares
    shares = np.concatenate([[0.0], lasting])
    places = place_classes(kinds.strengths[:, np.newaxis], shares)
    unknown = _chances_of_filler(kinds, tables)[:, np.newaxis]
    carries = kinds.carries_melody.astype(np.intp)[:, np.newaxis]
    chances: NDArray[np.float64] = np.where(
        places == UNKNOWN_PLACE, unknown, np.pad(tables.filler_after, (0, 1))[carries, places]
    )
    return chances


def filler_penalty_left(notes: LickNotes, tables: LearnedTables) -> NDArray[np.float64]:
    """Return the rest of the penalty for being no filler, where notes of a roll match; nats.

    The search for a path applies only a part of the penalty (``NOT_FILLER_WEIGHT``). Once the path
    is known, its pairs are judged with all of it.

    Returns
    -------
    shape (n_notes,)
        0 or less.
    """
    return (1 - NOT_FILLER_WEIGHT) * np.log1p(-_chances_of_filler(notes, tables))


def _chances_of_filler(notes: LickNotes | Kinds, tables: LearnedTables) -> NDArray[np.float64]:
    """Return the probability that each note of a roll is filler; shape (n_notes,)."""
    by_beat = np.column_stack([tables.filler, tables.filler.mean(axis=1)])  # last: unknown beats
    chances: NDArray[np.float64] = by_beat[
        notes.carries_melody.astype(np.intp), beat_classes(notes.strengths)
    ]
    return chances


def _by_half_steps(by_distance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mirror scores by distance, from 0 up, to half-steps down and up."""
    return np.concatenate([by_distance[:0:-1], by_distance])


def _units(
    scores: NDArray[np.float64], number: type[np.signedinteger]
) -> NDArray[np.signedinteger]:
    """Round scores in nats to the kernels' units; shape as given."""
    return np.rint(kernel.UNIT * scores).astype(number)


def _number_type(most: float, lick_gaps: NDArray[np.float64]) -> type[np.signedinteger]:
    """Return the integer type: 16 bits if neither the best nor the worst path overflows them."""
    least = float(lick_gaps.max(axis=0).sum())
    fits = kernel.UNIT * most <= LARGEST_16 and kernel.UNIT * least >= LEAST_16
    return np.int16 if fits else np.int32


def lick_line(melody: Melody, key: Key | None = None) -> LickNotes:
    """Return the notes of a lick, with its key if it is stated; of a pinch, the thumb's note."""
    pitches = line_pitches(melody)
    line = LickNotes(
        pitches,
        melody.beat_strengths,
        melody.durations,
        carries_melody(melody.beat_strengths, melody.strings),
        scale_classes(pitches, key),
    )
    return line._replace(shares=shares_of_measure(line))


def kinds_of(songs: SongArrays) -> Kinds:
    """Return the kinds of a catalogue's notes."""
    return Kinds(
        songs.kind_strengths,
        songs.kind_log_durations,
        songs.kind_carries_melody,
        songs.kind_scale,
    )


def song_notes(songs: SongArrays, form: Form) -> kernel.Songs:
    """Return all songs' notes for the kernels; inside rolls, the thumb's note of a pinch."""
    return kernel.Songs(
        first=songs.first_notes,
        pitches=songs.line_pitches if form.song_in_rolls else songs.pitches,
        kinds=songs.kinds,
        joined_kinds=songs.joined_kinds,
    )


def in_16_bits(scores: PairScores) -> PairScores:
    """Convert scores from 32 bits; the caller checks that no path overflows."""
    reached = scores.joined > kernel.UNREACHED_32
    joined = np.where(reached, scores.joined, kernel.UNREACHED_16)
    narrow = (array.astype(np.int16) for array in scores._replace(joined=joined))
    return PairScores(*narrow)


def with_prior_spread(scores: PairScores, prior: float) -> PairScores:
    """Spread a form's prior over the lick's notes; no path scores less than with the prior itself.

    Every path passes each note once: in a pair, as one of two that are joined, or in a gap.
    """
    each = math.ceil(kernel.UNIT * prior / len(scores.lick_pitches))
    return scores._replace(
        match=scores.match + each,
        split=scores.split + each,
        joined=scores.joined + 2 * each,
        lick_gaps=scores.lick_gaps + each,
    )


def most_permissive(forms: Sequence[PairScores]) -> PairScores:
    """Return the maximum of the scores of several forms of one lick, with one set of kinds."""
    best = {
        name: np.max([getattr(form, name) for form in forms], axis=0) for name in PairScores._fields
    }
    return PairScores(**best)
