"""A lick anywhere in a song: how well it is answered, and by which notes.

A song is asked in several forms, and the best counts: as written; in halved and doubled note
values; and its skeleton, where the song or the lick runs on in one note value as rolls do.
"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.features.skeleton import carries_melody, drone_pitch, is_even
from melodex.index.song_arrays import SongArrays
from melodex.kernels import weighted_alignment as kernel
from melodex.model.melody import Melody

SCALINGS = (0.5, 2.0)  # of the lick's note values
NEARLY_AS_GOOD = 0.9  # of the best score; other places of a song as good as this are counted
THREADS = 2  # the kernel runs without the GIL; more gain little on the machines of our users


class Form(StrEnum):
    """Which form of lick and song answered."""

    AS_WRITTEN = "as written"
    SKELETON = "skeleton"


class Question(NamedTuple):
    """One way to ask every song: the notes of both sides and what the answer is worth."""

    form: Form
    lick: kernel.Notes
    songs: kernel.Notes
    rules: kernel.Rules
    worth: NDArray[np.float32]  # shape (n_songs,), the share that each song's score counts for
    only_even: bool  # ask only songs that run on in one note value


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """A stretch of a song that answers a lick."""

    form: Form
    transposition: int  # half-steps from the lick up to the song
    pairs: NDArray[np.int32]  # shape (n_pairs, 2): note of the lick, note of the song as played


@dataclass(frozen=True, slots=True, eq=False)
class PassageScores:
    """How well each song answers a lick, unclipped; arrays have shape (n_asked,)."""

    songs: NDArray[np.int64]
    scores: NDArray[np.float32]  # the lick with itself has its number of notes
    questions: tuple[Question, ...]  # those put to the songs
    best: NDArray[np.int8]  # which question had the best answer
    transpositions: NDArray[np.int32]


def ask_songs(
    lick: Melody,
    songs: SongArrays,
    asked: NDArray[np.int64],
    settings: AlignmentSettings = DEFAULT_SETTINGS,
) -> PassageScores:
    """Score the whole lick anywhere in each song, at every transposition.

    Parameters
    ----------
    lick : Melody
        One note or more.
    asked : shape (n_asked,)
        The songs' numbers.
    """
    questions = tuple(_questions(lick, songs, settings))
    scores = np.full(len(asked), kernel.NO_SCORE, np.float32)
    best = np.zeros(len(asked), np.int8)
    transpositions = np.zeros(len(asked), np.int32)
    for number, question in enumerate(questions):
        places = np.flatnonzero(songs.is_even[asked]) if question.only_even else slice(None)
        found, shifts = _scan(question, songs, asked[places])
        found = np.where(found > 0, found * question.worth[asked[places]], found)
        better = found > scores[places]
        scores[places] = np.where(better, found, scores[places])
        best[places] = np.where(better, number, best[places])
        transpositions[places] = np.where(better, shifts, transpositions[places])
    return PassageScores(asked, scores, questions, best, transpositions)


def passages_of(
    answers: PassageScores, place: int, songs: SongArrays, *, least: float | None = None
) -> list[Passage]:
    """Trace the passages of one song that answer as well as its best, or nearly.

    Parameters
    ----------
    answers : PassageScores
    place : int
        The song's place in ``answers``.
    least : float or None
        The score that a passage needs; None for ``NEARLY_AS_GOOD`` of the song's best.

    Returns
    -------
    list of Passage
        In the order played, not overlapping, each at its own transposition; all in the form that
        has the best answer.
    """
    question = answers.questions[int(answers.best[place])]
    song = int(answers.songs[place])
    stretch = songs.notes_of(song)
    every = question.songs
    notes = kernel.Notes(
        every.pitches[stretch],
        every.strengths[stretch],
        every.log_durations[stretch],
        every.gaps[stretch],
    )
    lowest = int(notes.pitches.min() - question.lick.pitches.max())
    highest = int(notes.pitches.max() - question.lick.pitches.min())
    aligned = [
        (shift, *kernel.align_passage(notes, question.lick, shift, question.rules))
        for shift in range(lowest, highest + 1)
    ]
    if least is None:
        best = max(float(totals[-1, 1:].max()) for _, totals, _ in aligned)
        needed = best - (1 - NEARLY_AS_GOOD) * abs(best)
    else:
        needed = least / float(question.worth[song])
    found = [
        (-float(totals[-1, end + 1]), Passage(question.form, shift, answering_notes))
        for shift, totals, moves in aligned
        for end in np.flatnonzero(totals[-1, 1:] >= needed)
        if len(answering_notes := kernel.answering_notes(moves, int(end)))
    ]
    kept: list[Passage] = []
    for _, passage in sorted(found, key=lambda scored: scored[0]):
        if all(_apart(passage.pairs, other.pairs) for other in kept):
            kept.append(passage)
    return sorted(kept, key=lambda passage: int(passage.pairs[0, 1]))


def _apart(pairs: NDArray[np.int32], other: NDArray[np.int32]) -> bool:
    return bool(pairs[-1, 1] < other[0, 1] or pairs[0, 1] > other[-1, 1])


def _questions(lick: Melody, songs: SongArrays, settings: AlignmentSettings) -> Iterator[Question]:
    lick_written = written_notes(lick.pitches, lick.beat_strengths, lick.durations, settings)
    songs_written = written_notes(songs.pitches, songs.beat_strengths, songs.durations, settings)
    rules = pair_rules(settings)
    whole = np.ones(len(songs.is_even), np.float32)
    yield Question(Form.AS_WRITTEN, lick_written, songs_written, rules, whole, only_even=False)
    no_beats = rules._replace(beat_weight=np.float32(0))
    for scaling in SCALINGS:
        scaled = lick_written._replace(
            log_durations=lick_written.log_durations + np.float32(np.log2(scaling))
        )
        yield Question(
            Form.AS_WRITTEN,
            scaled,
            songs_written,
            no_beats,
            whole * np.float32(1 - settings.scaling_price),
            only_even=False,
        )
    beats_only = rules._replace(beat_weight=np.float32(1), duration_weight=np.float32(0))
    price = np.where(songs.is_tab, settings.tab_skeleton_price, settings.skeleton_price)
    worth = (1 - price).astype(np.float32)
    song_skeleton = songs_written._replace(
        pitches=songs.line_pitches.astype(np.int32),
        gaps=_skeleton_gaps(
            songs.carries_melody,
            songs.beat_strengths,
            settings.song_skeleton_slope,
            settings.song_skeleton_gap,
        ),
    )
    yield Question(Form.SKELETON, lick_written, song_skeleton, beats_only, worth, only_even=True)
    if is_even(lick.onsets):
        # Strings count on the song's side only: the same pitches ask the same, however typed.
        carries = carries_melody(lick.beat_strengths, np.zeros(len(lick), np.int8))
        carries &= lick.pitches != drone_pitch(lick.pitches[~carries])
        lick_skeleton = lick_written._replace(
            gaps=_skeleton_gaps(
                carries,
                lick.beat_strengths,
                settings.lick_skeleton_slope,
                settings.lick_skeleton_gap,
            )
        )
        yield Question(
            Form.SKELETON, lick_skeleton, songs_written, beats_only, worth, only_even=False
        )
        yield Question(
            Form.SKELETON, lick_skeleton, song_skeleton, beats_only, worth, only_even=True
        )


def _scan(
    question: Question, songs: SongArrays, asked: NDArray[np.int64]
) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Put one question to songs, shared out to threads."""
    scores = np.empty(len(asked), np.float32)
    transpositions = np.empty(len(asked), np.int32)
    first = np.array(songs.first_notes)

    def ask(share: slice) -> None:
        kernel.scan_passages(
            question.songs,
            first,
            asked[share],
            question.lick,
            question.rules,
            scores[share],
            transpositions[share],
        )

    bounds = np.linspace(0, len(asked), THREADS + 1).astype(int).tolist()
    shares = [slice(begin, end) for begin, end in pairwise(bounds)]
    with ThreadPoolExecutor(THREADS) as threads:
        list(threads.map(ask, shares))
    return scores, transpositions


def written_notes(
    pitches: NDArray[np.int16],
    beat_strengths: NDArray[np.float64],
    durations: NDArray[np.float64],
    settings: AlignmentSettings,
) -> kernel.Notes:
    """Weigh notes as written, equally long arrays of them, for the kernels."""
    strengths = beat_strengths.astype(np.float32)
    relief = np.float32(settings.gap_relief)
    return kernel.Notes(
        pitches=pitches.astype(np.int32),
        strengths=strengths,
        log_durations=np.log2(durations.astype(np.float32)),
        gaps=np.float32(settings.gap_price) * (1 - relief * (1 - strengths)),
    )


def _skeleton_gaps(
    carries: NDArray[np.bool_], beat_strengths: NDArray[np.float64], slope: float, largest: float
) -> NDArray[np.float32]:
    return (carries * np.minimum(largest, slope * beat_strengths)).astype(np.float32)


def pair_rules(settings: AlignmentSettings) -> kernel.Rules:
    """Tell the kernels what a pair of notes as written is worth."""
    similarity = np.zeros(2 * kernel.REACH + 1, np.float32)
    for distance, worth in settings.pitch_similarity.items():
        similarity[kernel.REACH + distance] = similarity[kernel.REACH - distance] = worth
    return kernel.Rules(
        similarity=similarity,
        beat_weight=np.float32(settings.beat_weight),
        duration_weight=np.float32(settings.duration_weight),
        split_price=np.float32(settings.split_price),
    )
