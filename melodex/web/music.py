"""Music on a page: engraved songs and licks, and what two of them have in common marked in both."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from markupsafe import Markup
from starlette.requests import Request

from melodex.model.match import Match
from melodex.model.phrase import SharedMaterial
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.report.engraving import Engraving, PhraseMark, engrave

# Pixels of a line of music, at which its notes have their normal size.
WIDE, HALF, NARROW = 640, 460, 340  # a page, one of two side by side, a telephone
_ALPHABET = "abcdefghijklmnopqrstuvwxyz"

Alignment = Sequence[tuple[int, int]]


class Music(NamedTuple):
    """Engraved music, ready for a template."""

    svg: Markup  # the engraver escapes every text in it
    remarks: tuple[str, ...]


def width_for(request: Request, wide: int = WIDE) -> int:
    """Choose how wide a line of music is: telephones say in their name that they are."""
    return NARROW if "Mobi" in request.headers.get("user-agent", "") else wide


def whole_song(song: Song, tab: Tab | None, *, width: int) -> Music:
    """Engrave a song with its tab."""
    return _music(engrave(song, tab=tab, prefix="song", width=width))


def answered_lick(
    lick: Song, song: Song, match: Match, *, number: int, width: int
) -> tuple[Music, Music]:
    """Engrave a lick and the passage that answers it, the notes that answer marked in both.

    Parameters
    ----------
    number : int
        Of the match on its page.
    """
    in_lick, in_song = marks_of(lick, song, match.alignment, match.transposition, letter="a")
    passage = min(match.measures), max(match.measures)
    return (
        _music(engrave(lick, marks=[in_lick], prefix=f"lick-{number}", width=width)),
        _music(
            engrave(song, measures=passage, marks=[in_song], prefix=f"song-{number}", width=width)
        ),
    )


def two_songs(a: Song, b: Song, shared: SharedMaterial, *, width: int) -> tuple[Music, Music]:
    """Engrave two songs, the phrases that they share marked by the same letters in both."""
    marks = [
        marks_of(a, b, alignment, phrase.transposition, letter=letter_of(number))
        for number, (phrase, alignment) in enumerate(
            zip(shared.phrases, shared.alignments, strict=True)
        )
    ]
    return (
        _music(engrave(a, marks=[mark for mark, _ in marks], prefix="first", width=width)),
        _music(engrave(b, marks=[mark for _, mark in marks], prefix="second", width=width)),
    )


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
        PhraseMark(
            letter, _rising(one for one, _ in alignment), frozenset(a for a, _ in differing)
        ),
        PhraseMark(
            letter, _rising(two for _, two in alignment), frozenset(b for _, b in differing)
        ),
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


def _rising(notes: Iterable[int]) -> tuple[int, ...]:
    return tuple(sorted(set(notes)))


def _music(engraving: Engraving) -> Music:
    return Music(Markup(engraving.svg), engraving.remarks)  # noqa: S704 - by our own engraver
