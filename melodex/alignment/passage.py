"""A lick anywhere in a song: how well it is answered, and by which notes."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.kernel_notes import pitch_rules
from melodex.alignment.questions import Form, Question, questions_for
from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.index.song_arrays import SongArrays
from melodex.kernels import passage_traceback as traceback
from melodex.kernels import weighted_alignment as kernel
from melodex.model.melody import Melody

NO_SCORE = np.float32(kernel.NO_SCORE)  # of a song without notes
NEARLY_AS_GOOD = 0.9  # of the best score; other places of a song as good as this are counted
THREADS = 2  # the kernel runs without the GIL; more gain little on the machines of our users


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
    best: NDArray[np.int8]  # shape (n_asked, 2), the question and variant of the best answer
    transpositions: NDArray[np.int32]
    rules: kernel.Rules


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
    questions = tuple(questions_for(lick, songs, settings))
    rules = pitch_rules(settings)
    scores = np.full(len(asked), NO_SCORE, np.float32)
    best = np.zeros((len(asked), 2), np.int8)
    transpositions = np.zeros(len(asked), np.int32)
    for number, question in enumerate(questions):
        places = np.flatnonzero(question.asked[asked])
        found, shifts = _scan(question, songs, asked[places], rules)
        worths = np.where(found > 0, question.worth[asked[places]], np.float32(1))
        of_variants = found.astype(np.float32) / kernel.UNIT * worths
        variant = of_variants.argmax(axis=1)
        chosen = np.arange(len(places)), variant
        better = of_variants[chosen] > scores[places]
        scores[places[better]] = of_variants[chosen][better]
        best[places[better], 0] = number
        best[places[better], 1] = variant[better]
        transpositions[places[better]] = shifts[chosen][better]
    return PassageScores(asked, scores, questions, best, transpositions, rules)


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
    number, variant = int(answers.best[place, 0]), int(answers.best[place, 1])
    question, song, rules = answers.questions[number], int(answers.songs[place]), answers.rules
    pitches = question.songs.pitches[songs.notes_of(song)]
    lowest = int(pitches.min()) - int(question.lick.pitches.max())
    highest = int(pitches.max()) - int(question.lick.pitches.min())
    scores = traceback.scores_by_transposition(
        question.songs, song, question.lick, variant, rules, lowest, highest
    )
    if least is None:
        best = int(scores.max())
        needed = best - (1 - NEARLY_AS_GOOD) * abs(best)
    else:
        needed = kernel.UNIT * least / float(question.worth[song, variant])
    found: list[tuple[int, Passage]] = []
    for shift in (lowest + np.flatnonzero(scores >= needed)).tolist():
        totals, moves = traceback.align_passage(
            question.songs, song, question.lick, variant, rules, shift
        )
        for end in np.flatnonzero(totals[-1, 1:] >= needed).tolist():
            pairs = traceback.answering_notes(moves, end)
            pairs[:, 0] = question.lick_notes[pairs[:, 0]]
            if len(pairs):
                found.append((-int(totals[-1, end + 1]), Passage(question.form, shift, pairs)))
    kept: list[Passage] = []
    for _, passage in sorted(found, key=lambda scored: scored[0]):
        if all(_apart(passage.pairs, other.pairs) for other in kept):
            kept.append(passage)
    return sorted(kept, key=lambda passage: int(passage.pairs[0, 1]))


def _apart(pairs: NDArray[np.int32], other: NDArray[np.int32]) -> bool:
    return bool(pairs[-1, 1] < other[0, 1] or pairs[0, 1] > other[-1, 1])


def _scan(
    question: Question, songs: SongArrays, asked: NDArray[np.int64], rules: kernel.Rules
) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """Put one question to songs, shared out to threads by their notes; shape (n, n_variants)."""
    n_variants = question.worth.shape[1]
    scores = np.empty((len(asked), n_variants), np.int32)
    transpositions = np.empty((len(asked), n_variants), np.int32)

    def ask(share: slice) -> None:
        kernel.scan_passages(
            question.songs, asked[share], question.lick, rules, scores[share], transpositions[share]
        )

    notes = np.cumsum(np.diff(songs.first_notes)[asked])
    even = np.linspace(0, notes[-1] if len(notes) else 0, THREADS + 1)[1:-1]
    bounds = [0, *np.searchsorted(notes, even).tolist(), len(asked)]
    with ThreadPoolExecutor(THREADS) as threads:
        list(threads.map(ask, [slice(begin, end) for begin, end in pairwise(bounds)]))
    return scores, transpositions
