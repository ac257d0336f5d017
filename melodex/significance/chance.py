"""How many songs would answer a lick this well by chance.

A lick's scores in a sample of the catalogue, its background, tell how easily it is answered at all:
repeated notes and steps are, leaps are not. Songs more than half way to the perfect score are left
out of it: they may well use the lick. A score's standing is its distance from their median,
in units of the distance from there to their upper tenth. What standings chance brings forth is
measured on permuted licks of 5 to 20 notes; the number of songs expected to stand as high is that
share of the catalogue.

Limits: a lick that a large part of the catalogue holds in changed forms raises its own background,
so that its number is too large; four and five notes say little whatever their number; far beyond
the standings measured the number is an extrapolation that tells only that it is small; of 40 notes
chance finds some three songs where one is expected.
"""

import json
import tempfile
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.passage import PassageScores, ask_songs
from melodex.errors import CatalogueError
from melodex.index.blocks import Blocks
from melodex.index.song_arrays import SongArrays
from melodex.model.melody import Melody
from melodex.significance.permuted_licks import permuted_lick
from melodex.significance.song_sample import only_songs
from melodex.significance.tail import Tail, fit_tail

MODEL_FILE = "chance.json"
FEWEST_SONGS = 20  # with notes; the upper tenth of fewer is a song or none
BACKGROUND_SONGS = 1000
LENGTHS = range(5, 21)  # notes
LICKS_OF_EACH_LENGTH = 6
TYPICAL, HIGH = 0.5, 0.9  # the quantiles of the background
# Songs that come farther than this from the typical score to the perfect one are taken to use the
# lick. Without that a lick that ten of the songbook's 57 songs share was expected in four of them.
USERS_BEYOND = 0.5
# On the 12,760 bundled songs the same notes in the same rhythm, of 20 real licks each, are expected
# by chance in 1.5 songs (median) where they are 4 notes, .67 where 5, .23 where 6, .02 where 8; one
# lick in ten of 4 notes in more than 86, of 5 in more than 4.6, of 6 in more than .9.
WEAK_BELOW = 6  # notes


@dataclass(frozen=True, slots=True)
class ChanceModel:
    """What scores chance brings forth in one state of a catalogue."""

    n_songs: int  # with notes
    background: tuple[int, ...]  # song numbers, rising
    tail: Tail  # of the standings


def is_weak_evidence(n_notes: int) -> bool:
    """Tell whether a lick is so short that even the same notes prove little."""
    return n_notes < WEAK_BELOW


def expected_by_chance(
    model: ChanceModel, lick: Melody, songs: SongArrays, answers: PassageScores
) -> NDArray[np.float64] | None:
    """Give how many songs of the catalogue would by chance answer as well as each that did.

    Parameters
    ----------
    lick : Melody
        The lick that was asked for.
    answers : PassageScores
        Its scores; where they lack songs of the background, those are asked.

    Returns
    -------
    shape (n_asked,), float64, or None
        Above 0, at most the number of songs. None, unknown, where the background's songs all
        answer alike.
    """
    background = _background_scores(model, lick, songs, answers)
    middle, spread = _background(background, len(lick))
    if spread <= 0:
        return None
    standings = _standings(answers.scores.astype(np.float64), middle, spread)
    return model.n_songs * np.exp(model.tail.log_share(standings))


def fit_chance(songs: SongArrays, *, seed: int) -> ChanceModel | None:
    """Measure what scores permuted licks find in a catalogue; None for fewer than 20 songs."""
    sizes = np.diff(songs.first_notes)
    by_size = np.argsort(sizes, kind="stable")[np.count_nonzero(sizes == 0) :]
    if len(by_size) < FEWEST_SONGS:
        return None
    rng = np.random.default_rng(seed)
    places = np.linspace(0, len(by_size) - 1, min(BACKGROUND_SONGS, len(by_size))).astype(np.int64)
    background = np.sort(by_size[places])
    sample, numbers = only_songs(songs, background), np.arange(len(background))
    standings: list[NDArray[np.float64]] = []
    for n_notes in (*LENGTHS,) * LICKS_OF_EACH_LENGTH:
        permuted = permuted_lick(songs, n_notes, rng)
        if permuted is None:
            continue
        lick, cut_from = permuted
        scores = ask_songs(lick, sample, numbers[background != cut_from]).scores
        middle, spread = _background(scores, n_notes)
        if spread > 0:
            standings.append(_standings(scores.astype(np.float64), middle, spread))
    if not standings:
        return None
    return ChanceModel(
        len(by_size), tuple(background.tolist()), fit_tail(np.concatenate(standings))
    )


def chance_of(blocks: Blocks, *, seed: int = 0) -> ChanceModel | None:
    """Read the model that is kept beside a catalogue's arrays; where there is none yet, fit it.

    Returns
    -------
    ChanceModel or None
        None for a catalogue of fewer than 20 songs with notes.

    Raises
    ------
    CatalogueError
        If it cannot be written beside the arrays.
    """
    file = blocks.folder / MODEL_FILE if blocks.folder else None
    if file and file.exists():
        return load_chance(file)
    model = fit_chance(blocks.songs, seed=seed)
    if file and model:
        save_chance(model, file)
    return model


def save_chance(model: ChanceModel, file: Path) -> None:
    """Write a model as JSON, whole or not at all.

    Raises
    ------
    CatalogueError
        If the folder cannot be written.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="new-", dir=file.parent) as folder:
            passing = Path(folder) / file.name
            passing.write_text(json.dumps(asdict(model)), encoding="utf-8")
            passing.replace(file)
    except OSError as error:
        raise CatalogueError(
            f"Cannot write the chance levels {file}: {error.strerror or error}.",
            "free some space, or make that folder writable.",
        ) from error


def load_chance(file: Path) -> ChanceModel:
    """Read a model that ``save_chance`` wrote."""
    plain = json.loads(file.read_text(encoding="utf-8"))
    body = tuple(plain["tail"].pop("body"))
    return ChanceModel(
        n_songs=plain["n_songs"],
        background=tuple(plain["background"]),
        tail=Tail(body, **plain["tail"]),
    )


def _background_scores(
    model: ChanceModel, lick: Melody, songs: SongArrays, answers: PassageScores
) -> NDArray[np.float32]:
    background = np.array(model.background)
    known = np.isin(answers.songs, background)
    unknown = background[~np.isin(background, answers.songs)]
    scores = answers.scores[known]
    if len(unknown):
        scores = np.concatenate([scores, ask_songs(lick, songs, unknown).scores])
    return scores


def _background(scores: NDArray[np.float32], perfect: float) -> tuple[float, float]:
    """Give the median of the songs that do not use the lick, and from there to their top tenth."""
    typical = float(np.median(scores))
    without_users = scores[scores <= typical + USERS_BEYOND * (perfect - typical)]
    middle, high = np.quantile(without_users.astype(np.float64), [TYPICAL, HIGH]).tolist()
    return middle, high - middle


def _standings(scores: NDArray[np.float64], middle: float, spread: float) -> NDArray[np.float64]:
    return (scores - middle) / spread
