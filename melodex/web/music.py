"""Music on a page: engraved, to be played, and what two melodies have in common marked in both."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from melodex.engraving.engrave_song import Engraving, Look, PhraseMark, engrave
from melodex.engraving.sound import Track, player_notes
from melodex.model.lick import Lick
from melodex.model.results.match import Match
from melodex.model.results.phrase import SharedMaterial
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.report.figures import answering_player
from melodex.report.phrase_marks import marks_of, phrase_letter
from melodex.report.song_of_lick import song_of_lick


@dataclass(frozen=True, slots=True)
class Music:
    """Engraved music, ready for a template."""

    svg: Markup  # the engraver escapes every text in it
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


def played(
    passage: Passage,
    *,
    name: str = "",
    marks: Sequence[PhraseMark] = (),
    count: bool = False,
) -> Music:
    """Engrave a passage, with a player of its own.

    Parameters
    ----------
    name : str
        What is played, for those who do not see it; "" for the song's title.
    """
    engraving = _engraved(passage, marks, count=count)
    name = name or passage.song.title
    notes = None
    if engraving.sounding:
        notes = player_notes(name, [Track(passage.song.title, passage.song, engraving)])
    return _music(engraving, notes)


def before_and_after(
    passages: tuple[Passage, Passage],
    labels: tuple[str, str],
    *,
    mark: PhraseMark,
    count: bool = False,
) -> Pair:
    """Engrave a passage as it was and as it becomes, to be heard one after the other or together.

    Parameters
    ----------
    labels : (str, str)
        What the player calls them.
    mark : PhraseMark
        What the second one has that the first has not.
    """
    engravings = [
        _engraved(passage, marks, count=count)
        for passage, marks in zip(passages, ([], [mark]), strict=True)
    ]
    tracks = [
        Track(label, passage.song, engraving)
        for label, passage, engraving in zip(labels, passages, engravings, strict=True)
    ]
    notes = None
    if all(engraving.sounding for engraving in engravings):
        notes = player_notes(f"{passages[0].song.title}, {' and '.join(labels)}", tracks)
    first, second = (_music(engraving) for engraving in engravings)
    return Pair(first, second, notes)


def lick_alone(lick: Lick, title: str, *, number: int) -> Music:
    """Engrave a lick of a list, with a player of its own."""
    return played(Passage(song_of_lick(lick, title), f"lick-{number}"))


def marked_songs(a: Song, b: Song, shared: SharedMaterial) -> list[Music]:
    """Engrave two whole songs, the phrases that they share under the same letters in both."""
    marks = [
        marks_of(a, b, alignment, transposition=phrase.transposition, letter=phrase_letter(number))
        for number, (phrase, alignment) in enumerate(
            zip(shared.phrases, shared.alignments, strict=True)
        )
    ]
    return [
        played(Passage(song, prefix), marks=[pair[place] for pair in marks])
        for place, (song, prefix) in enumerate(((a, "first"), (b, "second")))
    ]


def answered_lick(lick: Song, song: Song, match: Match, *, number: int, tab: Tab | None) -> Pair:
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
    )


def side_by_side(
    passages: tuple[Passage, Passage],
    alignment: Sequence[tuple[int, int]],
    *,
    transposition: int,
    letter: str,
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
    first, second = (_engraved(each, [mark]) for each, mark in zip(passages, marks, strict=True))
    name = f"{songs[0].title} and {songs[1].title}"
    notes = answering_player(name, songs, (first, second), alignment[0], transposition)
    return Pair(_music(first), _music(second), notes)


def _engraved(passage: Passage, marks: Sequence[PhraseMark], *, count: bool = False) -> Engraving:
    look = Look(passage.prefix, count)
    return engrave(passage.song, tab=passage.tab, measures=passage.measures, marks=marks, look=look)


def _music(engraving: Engraving, notes: Markup | None = None) -> Music:
    svg = Markup(engraving.svg)  # noqa: S704 - by our own engraver
    return Music(svg, engraving.remarks, notes)
