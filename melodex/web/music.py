"""Music on a page: engraved, to be played, and what two melodies have in common marked in both."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup
from starlette.requests import Request

from melodex.model.match import Match
from melodex.model.phrase import SharedMaterial
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.report.engraving import Engraving, PhraseMark, engrave
from melodex.report.sound import Track, player_notes

# Pixels of a line of music, at which its notes have their normal size.
WIDE, HALF, NARROW = 640, 460, 340  # a page, one of two side by side, a telephone
_ALPHABET = "abcdefghijklmnopqrstuvwxyz"

Alignment = Sequence[tuple[int, int]]
"""Pairs of note numbers that answer each other, in the order played."""


@dataclass(frozen=True, slots=True)
class Music:
    """Engraved music, ready for a template."""

    svg: Markup  # the engraver escapes every text in it
    notes: Markup  # for the player
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two pieces of engraved music, what answers marked in both, to be played in any order."""

    first: Markup
    second: Markup
    notes: Markup


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """Some measures of a song, or all of it, under a name of its own on its page."""

    song: Song
    label: str
    prefix: str
    measures: tuple[int, int] | None = None  # first and last as written; None for all

    @property
    def begin(self) -> float:
        """Where its music begins, in quarter notes from the start of the song."""
        if self.measures is None:
            return 0.0
        first = int(np.argmax(self.song.measures.numbers == self.measures[0]))
        return float(self.song.measures.onsets[first])


def width_for(request: Request, wide: int = WIDE) -> int:
    """Choose how wide a line of music is: telephones say in their name that they are."""
    return NARROW if "Mobi" in request.headers.get("user-agent", "") else wide


def whole_song(song: Song, tab: Tab | None, *, width: int) -> Music:
    """Engrave a song with its tab."""
    engraving = engrave(song, tab=tab, prefix="song", width=width)
    notes = player_notes(song.title, [Track(song.title, song, engraving)])
    return Music(_safe(engraving), notes, engraving.remarks)


def answered_lick(lick: Song, song: Song, match: Match, *, number: int, width: int) -> Pair:
    """Engrave a lick and the passage that answers it.

    Parameters
    ----------
    number : int
        Of the match on its page.
    """
    return side_by_side(
        Passage(lick, "The lick", f"lick-{number}"),
        Passage(song, song.title, f"song-{number}", (min(match.measures), max(match.measures))),
        match.alignment,
        transposition=match.transposition,
        width=width,
    )


def side_by_side(
    first: Passage,
    second: Passage,
    alignment: Alignment,
    *,
    transposition: int,
    letter: str = "a",
    width: int = HALF,
) -> Pair:
    """Engrave two passages, the notes that answer each other marked in both.

    Parameters
    ----------
    transposition : int
        Half-steps from the first up to the second.
    """
    passages = first, second
    marks = marks_of(first.song, second.song, alignment, transposition, letter=letter)
    engravings = [
        engrave(each.song, measures=each.measures, marks=[mark], prefix=each.prefix, width=width)
        for each, mark in zip(passages, marks, strict=True)
    ]
    tracks = [
        Track(
            each.label,
            each.song,
            engraving,
            meets_beats=float(each.song.melody.onsets[note]) - each.begin,
            half_steps_to_first=half_steps,
        )
        for each, engraving, note, half_steps in zip(
            passages, engravings, alignment[0], (0, -transposition), strict=True
        )
    ]
    notes = player_notes(f"{first.label} and {second.label}", tracks)
    return Pair(_safe(engravings[0]), _safe(engravings[1]), notes)


def marked_songs(a: Song, b: Song, shared: SharedMaterial, *, width: int) -> tuple[Music, Music]:
    """Engrave two whole songs, the phrases that they share under the same letters in both."""
    marks = [
        marks_of(a, b, alignment, phrase.transposition, letter=letter_of(number))
        for number, (phrase, alignment) in enumerate(
            zip(shared.phrases, shared.alignments, strict=True)
        )
    ]
    first = _marked(a, [mark for mark, _ in marks], "first", width)
    second = _marked(b, [mark for _, mark in marks], "second", width)
    return first, second


def _marked(song: Song, marks: Sequence[PhraseMark], prefix: str, width: int) -> Music:
    engraving = engrave(song, marks=marks, prefix=prefix, width=width)
    notes = player_notes(song.title, [Track(song.title, song, engraving)])
    return Music(_safe(engraving), notes, engraving.remarks)


def marks_of(
    above: Song, below: Song, alignment: Alignment, transposition: int, *, letter: str
) -> tuple[PhraseMark, PhraseMark]:
    """Mark the notes of two melodies that answer each other, and those that differ in pitch."""
    differing = [
        (one, other)
        for one, other in alignment
        if below.melody.pitches[other] - above.melody.pitches[one] != transposition
    ]
    return (
        _mark(letter, (one for one, _ in alignment), (one for one, _ in differing)),
        _mark(letter, (other for _, other in alignment), (other for _, other in differing)),
    )


def letter_of(number: int) -> str:
    """Name a phrase by a letter: a to z, then aa, ab, ...

    Examples
    --------
    >>> letter_of(0), letter_of(25), letter_of(26)
    ('a', 'z', 'aa')
    """
    before, last = divmod(number, len(_ALPHABET))
    return (letter_of(before - 1) if before else "") + _ALPHABET[last]


def _mark(letter: str, notes: Iterable[int], differing: Iterable[int]) -> PhraseMark:
    return PhraseMark(letter, tuple(sorted(set(notes))), frozenset(differing))


def _safe(engraving: Engraving) -> Markup:
    return Markup(engraving.svg)  # noqa: S704 - by our own engraver
