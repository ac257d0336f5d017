"""A lick anywhere in a song: how well it is answered, and by which notes.

A song is asked in several forms, and the best counts: as written; in halved and doubled note
values; its skeleton, where the song runs on in one note value as rolls do; and the lick's skeleton,
where the lick sounds rolled.
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
from melodex.features.skeleton import carries_melody, sounds_rolled
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
    worth: NDArray[np.float32]  # shape (n_songs,), what each song's score is multiplied by
    asked: NDArray[np.bool_]  # shape (n_songs,), whether a song has this form
    lick_notes: NDArray[np.int32]  # the places of the notes asked for in the whole lick


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
        places = np.flatnonzero(question.asked[asked])
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
    notes = _some(question.songs, songs.notes_of(song))
    lowest = int(notes.pitches.min() - question.lick.pitches.max())
    highest = int(notes.pitches.max() - question.lick.pitches.min())
    scores = kernel.scores_by_transposition(notes, question.lick, question.rules, lowest, highest)
    if least is None:
        best = float(scores.max())
        needed = best - (1 - NEARLY_AS_GOOD) * abs(best)
    else:
        needed = least / float(question.worth[song])
    found: list[tuple[float, Passage]] = []
    for shift in (lowest + np.flatnonzero(scores >= needed)).tolist():
        totals, moves = kernel.align_passage(notes, question.lick, shift, question.rules)
        for end in np.flatnonzero(totals[-1, 1:] >= needed).tolist():
            pairs = kernel.answering_notes(moves, end)
            pairs[:, 0] = question.lick_notes[pairs[:, 0]]
            if len(pairs):
                found.append((-float(totals[-1, end + 1]), Passage(question.form, shift, pairs)))
    kept: list[Passage] = []
    for _, passage in sorted(found, key=lambda scored: scored[0]):
        if all(_apart(passage.pairs, other.pairs) for other in kept):
            kept.append(passage)
    return sorted(kept, key=lambda passage: int(passage.pairs[0, 1]))


def _apart(pairs: NDArray[np.int32], other: NDArray[np.int32]) -> bool:
    return bool(pairs[-1, 1] < other[0, 1] or pairs[0, 1] > other[-1, 1])


def _questions(lick: Melody, songs: SongArrays, settings: AlignmentSettings) -> Iterator[Question]:
    written = Question(
        form=Form.AS_WRITTEN,
        lick=written_notes(lick.pitches, lick.beat_strengths, lick.durations, settings),
        songs=written_notes(songs.pitches, songs.beat_strengths, songs.durations, settings),
        rules=pair_rules(settings),
        worth=np.ones(len(songs.is_even), np.float32),
        asked=np.ones(len(songs.is_even), np.bool_),
        lick_notes=np.arange(len(lick), dtype=np.int32),
    )
    inside_songs = _inside_songs(written, songs, settings)
    yield written
    yield from _in_other_note_values(written, settings)
    yield inside_songs
    # A roll often plays the melody at half its pace: each note one level up in the metre.
    yield inside_songs._replace(
        lick=written.lick._replace(strengths=np.minimum(1, 2 * written.lick.strengths)),
        worth=inside_songs.worth * np.float32(1 - settings.scaling_price),
    )
    if sounds_rolled(lick):
        written = written._replace(rules=inside_songs.rules)
        carrying = np.flatnonzero(carries_melody(lick.beat_strengths)).astype(np.int32)
        yield _inside_lick(lick, carrying, written, settings)
        yield _inside_lick(lick, carrying, inside_songs._replace(asked=songs.is_rolled), settings)
        # Where the tune is slow its roll fills beats too.
        strongest = carrying[carries_melody(lick.beat_strengths[carrying])]
        if len(strongest) >= settings.fewest_of_slow_melody:
            price = np.float32(1 - settings.slow_melody_price)
            slow = written._replace(worth=written.worth * price)
            yield _inside_lick(lick, strongest, slow, settings)


def _in_other_note_values(written: Question, settings: AlignmentSettings) -> Iterator[Question]:
    for scaling in SCALINGS:
        durations = written.lick.log_durations + np.float32(np.log2(scaling))
        yield written._replace(
            lick=written.lick._replace(log_durations=durations),
            rules=written.rules._replace(beat_weight=np.float32(0)),
            worth=written.worth * np.float32(1 - settings.scaling_price),
        )


def _inside_songs(written: Question, songs: SongArrays, settings: AlignmentSettings) -> Question:
    """Ask for the melody inside songs that run on as rolls do."""
    price = np.where(songs.is_rolled, settings.rolled_skeleton_price, settings.skeleton_price)
    gaps = np.minimum(
        settings.song_skeleton_gap, settings.song_skeleton_slope * songs.beat_strengths
    )
    return written._replace(
        form=Form.SKELETON,
        songs=written.songs._replace(
            pitches=songs.line_pitches.astype(np.int32),
            gaps=(songs.carries_melody * gaps).astype(np.float32),
        ),
        rules=written.rules._replace(beat_weight=np.float32(1), duration_weight=np.float32(0)),
        worth=(1 - price).astype(np.float32),
        asked=songs.is_even | songs.is_rolled,
    )


def _inside_lick(
    lick: Melody, carrying: NDArray[np.int32], question: Question, settings: AlignmentSettings
) -> Question:
    """Ask for the melody inside a rolled lick.

    What fills the roll is left out, else songs full of broken chords would answer better; the few
    notes left stand for the whole lick.
    """
    gaps = np.minimum(settings.lick_skeleton_gap, lick.beat_strengths).astype(np.float32)
    inside = question.lick._replace(gaps=gaps)
    price_and_share = (1 - settings.rolled_lick_price) * len(lick) / len(carrying)
    return question._replace(
        form=Form.SKELETON,
        lick=_some(inside, carrying),
        worth=question.worth * np.float32(price_and_share),
        lick_notes=carrying,
    )


def _some(notes: kernel.Notes, which: slice | NDArray[np.int32]) -> kernel.Notes:
    return kernel.Notes(
        pitches=notes.pitches[which],
        strengths=notes.strengths[which],
        log_durations=notes.log_durations[which],
        gaps=notes.gaps[which],
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


def pair_rules(settings: AlignmentSettings) -> kernel.Rules:
    """Tell the kernels what a pair of notes as written is worth."""
    return kernel.Rules(
        similarity=settings.similarity_table(kernel.REACH),
        beat_weight=np.float32(settings.beat_weight),
        duration_weight=np.float32(settings.duration_weight),
        split_price=np.float32(settings.split_price),
    )
