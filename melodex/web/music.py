"""Music on a page: engraved, to be played, and what two melodies have in common marked in both."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from markupsafe import Markup
from starlette.requests import Request

from melodex.model.lick import Lick
from melodex.model.match import Match
from melodex.model.phrase import SharedMaterial
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.report.engraving import Engraving, PhraseMark, engrave
from melodex.report.figures import WHOLE_LINE, answering_player
from melodex.report.phrase_marks import marks_of, phrase_letter
from melodex.report.song_of_lick import song_of_lick
from melodex.report.sound import Track, player_notes

# Pixels of a line of music, at which its notes have their normal size.
WIDE, HALF, NARROW = 640, 460, 340  # a page, one of two side by side, a telephone


@dataclass(frozen=True, slots=True)
class Music:
    """Engraved music, ready for a template."""

    svg: Markup  # the engraver escapes every text in it
    share: int  # of the line, in twentieths, that it takes
    remarks: tuple[str, ...]
    notes: Markup | None = None  # for a player of its own


@dataclass(frozen=True, slots=True)
class Pair:
    """Two pieces of engraved music that answer each other, and the player of both."""

    first: Music
    second: Music
    notes: Markup | None


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """Some measures of a song, or all of it, under a prefix of its own on its page."""

    song: Song
    prefix: str
    measures: tuple[int, int] | None = None  # first and last as written; None for all
    tab: Tab | None = None


def width_for(request: Request, wide: int = WIDE) -> int:
    """Choose how wide a line of music is: telephones say in their name that they are."""
    return NARROW if "Mobi" in request.headers.get("user-agent", "") else wide


def whole_song(
    song: Song,
    tab: Tab | None,
    *,
    width: int,
    prefix: str = "song",
    marks: Sequence[PhraseMark] = (),
) -> Music:
    """Engrave a song, with a player of its own."""
    engraving = engrave(song, tab=tab, marks=marks, prefix=prefix, width=width)
    notes = None
    if engraving.sounding:
        notes = player_notes(song.title, [Track(song.title, song, engraving)])
    return _music(engraving, width, notes)


def lick_alone(lick: Lick, title: str, *, number: int, width: int) -> Music:
    """Engrave a lick of a list, with a player of its own."""
    return whole_song(song_of_lick(lick, title), None, width=width, prefix=f"lick-{number}")


def marked_songs(a: Song, b: Song, shared: SharedMaterial, *, width: int) -> list[Music]:
    """Engrave two whole songs, the phrases that they share under the same letters in both."""
    marks = [
        marks_of(a, b, alignment, transposition=phrase.transposition, letter=phrase_letter(number))
        for number, (phrase, alignment) in enumerate(
            zip(shared.phrases, shared.alignments, strict=True)
        )
    ]
    return [
        whole_song(song, None, width=width, prefix=prefix, marks=[pair[place] for pair in marks])
        for place, (song, prefix) in enumerate(((a, "first"), (b, "second")))
    ]


def answered_lick(
    lick: Song, song: Song, match: Match, *, number: int, tab: Tab | None, width: int
) -> Pair:
    """Engrave a lick and the passage that answers it.

    Parameters
    ----------
    number : int
        Of the match on its page.
    tab : Tab or None
        Of the song.
    """
    measures = min(match.measures), max(match.measures)
    return side_by_side(
        (Passage(lick, f"lick-{number}"), Passage(song, f"song-{number}", measures, tab)),
        match.alignment,
        transposition=match.transposition,
        letter=phrase_letter(0),
        width=width,
    )


def side_by_side(
    passages: tuple[Passage, Passage],
    alignment: Sequence[tuple[int, int]],
    *,
    transposition: int,
    letter: str,
    width: int,
) -> Pair:
    """Engrave two passages, the notes that answer each other marked in both.

    Parameters
    ----------
    alignment : pairs of note numbers
        (note of the first song, note of the second), in the order played.
    transposition : int
        Half-steps from the first up to the second.
    """
    songs = passages[0].song, passages[1].song
    marks = marks_of(*songs, alignment, transposition=transposition, letter=letter)
    first, second = (
        engrave(
            each.song,
            tab=each.tab,
            measures=each.measures,
            marks=[mark],
            prefix=each.prefix,
            width=width,
        )
        for each, mark in zip(passages, marks, strict=True)
    )
    name = f"{songs[0].title} and {songs[1].title}"
    notes = answering_player(name, songs, (first, second), alignment[0], transposition)
    return Pair(_music(first, width), _music(second, width), notes)


def _music(engraving: Engraving, width: int, notes: Markup | None = None) -> Music:
    svg = Markup(engraving.svg)  # noqa: S704 - by our own engraver
    share = min(WHOLE_LINE, ceil(WHOLE_LINE * engraving.width / width))
    return Music(svg, share, engraving.remarks, notes)
