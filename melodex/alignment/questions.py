"""The ways in which a lick is put to every song; the best answer counts.

As written, and in halved and doubled note values; to the skeleton of songs that run on in one note
value as rolls do; and by the skeleton of a lick that sounds rolled.
"""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Pitches
from melodex.alignment.kernel_notes import Line, Variant, asked_lick, read_only, thousandths
from melodex.alignment.pair_weights import Rhythm, Weighing
from melodex.alignment.settings import AlignmentSettings
from melodex.features.skeleton import carries_melody, sounds_rolled
from melodex.index.song_arrays import SongArrays
from melodex.kernels import weighted_alignment as kernel
from melodex.model.melody import Melody

SCALINGS = (0.5, 2.0)  # of the lick's note values
# Inside rolls the beat alone tells what is melody.
BY_BEAT = Weighing(beat_weight=1.0, duration_weight=0.0)


class Form(StrEnum):
    """Which form of lick and song answered."""

    AS_WRITTEN = "as written"
    SKELETON = "skeleton"


class Question(NamedTuple):
    """One way to ask every song, in variants that differ by how a pair is weighed."""

    form: Form
    lick: kernel.Asked
    songs: kernel.Songs
    worth: NDArray[np.float32]  # shape (n_songs, n_variants), what a score is multiplied by
    asked: NDArray[np.bool_]  # shape (n_songs,), whether a song has this form
    lick_notes: NDArray[np.int32]  # the places of the notes asked for in the whole lick


class _Book(NamedTuple):
    """The songs in one form."""

    notes: kernel.Songs
    kinds: Rhythm  # of every kind of note
    worth: NDArray[np.float32]  # shape (n_songs,)
    asked: NDArray[np.bool_]


def questions_for(
    lick: Melody, songs: SongArrays, settings: AlignmentSettings
) -> Iterator[Question]:
    """Yield the ways to put a lick to songs."""
    gaps = written_gaps(lick.beat_strengths, settings)
    whole = Line(lick.pitches, lick.beat_strengths, lick.durations, gaps)
    written, inside = _as_written(songs, settings), _inside_songs(songs, settings)
    rescaled = 1 - settings.scaling_price
    off_beat = Weighing(0.0, settings.duration_weight)
    yield _question(
        Form.AS_WRITTEN,
        whole,
        written,
        [
            Variant(written_weighing(settings)),
            *(Variant(off_beat, scaling=scaling, worth=rescaled) for scaling in SCALINGS),
        ],
        settings,
    )
    # A roll often plays the melody at half its pace: each note one level up in the metre.
    paces = [Variant(BY_BEAT), Variant(BY_BEAT, lift=2.0, worth=rescaled)]
    if sounds_rolled(lick):
        yield from _by_its_melody(whole, written, _inside_rolls(songs, inside, settings), settings)
    else:
        price = _price_of_length(len(lick), settings)
        worth = np.where(songs.is_tab, inside.worth, np.float32(1 - price) * inside.worth)
        yield _question(Form.SKELETON, whole, inside._replace(worth=worth), paces, settings)


def _price_of_length(n_notes: int, settings: AlignmentSettings) -> float:
    """Tell what more a long lick loses where only its sound says that a song is rolled."""
    beyond = min(max(n_notes / settings.short_lick - 1, 0), 1)
    return settings.long_lick_price * beyond


def _by_its_melody(
    roll: Line, written: _Book, rolls: _Book, settings: AlignmentSettings
) -> Iterator[Question]:
    """Ask for the melody inside a rolled lick.

    What fills the roll is left out, else songs full of broken chords would answer better; the few
    notes left stand for the whole lick.
    """
    roll = roll._replace(gaps=np.minimum(settings.lick_skeleton_gap, roll.strengths))
    worth = (1 - settings.rolled_lick_price) * len(roll.pitches)

    def ask(book: _Book, notes: NDArray[np.intp], worth: float) -> Question:
        line = Line(
            roll.pitches[notes], roll.strengths[notes], roll.durations[notes], roll.gaps[notes]
        )
        variant = Variant(BY_BEAT, worth=worth / len(notes))
        question = _question(Form.SKELETON, line, book, [variant], settings)
        return question._replace(lick_notes=notes.astype(np.int32))

    carrying = np.flatnonzero(carries_melody(roll.strengths))
    yield ask(written, carrying, worth)
    yield ask(rolls, carrying, worth)
    # Where the tune is slow its roll fills beats too.
    strongest = carrying[carries_melody(roll.strengths[carrying])]
    if len(strongest) >= settings.fewest_of_slow_melody:
        yield ask(written, strongest, worth * (1 - settings.slow_melody_price))


def written_gaps(
    strengths: NDArray[np.floating], settings: AlignmentSettings
) -> NDArray[np.float64]:
    """Give the price of leaving out notes as written, by beat strength; shape as given."""
    relief = settings.gap_relief * (1 - strengths.astype(np.float64))
    return settings.gap_price * (1 - relief)


def written_weighing(settings: AlignmentSettings) -> Weighing:
    """Tell what pairs of notes as written lose by beat and duration."""
    return Weighing(settings.beat_weight, settings.duration_weight)


def _as_written(songs: SongArrays, settings: AlignmentSettings) -> _Book:
    n_songs = len(songs.is_even)
    gaps = written_gaps(songs.kind_strengths, settings)
    return _Book(
        notes=_song_notes(songs, songs.pitches, gaps),
        kinds=Rhythm(songs.kind_strengths, songs.kind_log_durations),
        worth=np.ones(n_songs, np.float32),
        asked=np.ones(n_songs, np.bool_),
    )


def _inside_songs(songs: SongArrays, settings: AlignmentSettings) -> _Book:
    """Give the melody inside songs that run on as rolls do."""
    price = np.where(songs.is_rolled, settings.rolled_skeleton_price, settings.skeleton_price)
    return _Book(
        notes=_skeleton_notes(songs, settings.song_skeleton_gap, settings.song_skeleton_slope),
        kinds=Rhythm(songs.kind_strengths, songs.kind_log_durations),
        worth=(1 - price).astype(np.float32),
        asked=songs.is_even | songs.is_rolled,
    )


def _inside_rolls(songs: SongArrays, inside: _Book, settings: AlignmentSettings) -> _Book:
    """Give the melody inside songs in rolls, for a melody that is taken out of a roll itself."""
    notes = _skeleton_notes(songs, settings.roll_in_roll_gap, settings.roll_in_roll_slope)
    return inside._replace(notes=notes, asked=songs.is_rolled)


def _skeleton_notes(songs: SongArrays, dearest: float, slope: float) -> kernel.Songs:
    """Give songs' notes, of which those that carry no melody are left out for nothing."""
    gaps = np.where(
        songs.kind_carries_melody, np.minimum(dearest, slope * songs.kind_strengths), 0.0
    )
    return _song_notes(songs, songs.line_pitches, gaps)


def _song_notes(songs: SongArrays, pitches: Pitches, gaps: NDArray[np.floating]) -> kernel.Songs:
    return kernel.Songs(
        first=read_only(songs.first_notes),
        pitches=read_only(pitches),
        kinds=read_only(songs.kinds),
        joined_kinds=read_only(songs.joined_kinds),
        gaps=thousandths(gaps).astype(np.int16),
    )


def _question(
    form: Form,
    line: Line,
    book: _Book,
    variants: Sequence[Variant],
    settings: AlignmentSettings,
) -> Question:
    worths = np.array([variant.worth for variant in variants], np.float32)
    return Question(
        form=form,
        lick=asked_lick(line, book.kinds, variants, settings.split_price),
        songs=book.notes,
        worth=book.worth[:, np.newaxis] * worths,
        asked=book.asked,
        lick_notes=np.arange(len(line.pitches), dtype=np.int32),
    )
