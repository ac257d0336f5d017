"""Music in a report: pictures with their sound, ready for a template."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from markupsafe import Markup

from melodex.engraving.engrave_song import Engraving, Look, PhraseMark, engrave
from melodex.engraving.sound import Track, player_notes
from melodex.engraving.svg_measures import Sizes
from melodex.model.song import Song
from melodex.model.tablature import Tab


@dataclass(frozen=True, slots=True, eq=False)
class ShownSong:
    """A song as a report shows it: with a tab, or with the reason why it has none."""

    song: Song
    tab: Tab | None
    remarks: tuple[str, ...]  # cautions and what was assumed, a sentence each
    count: bool = False  # whether a line below the tab counts the beats


class Figure(NamedTuple):
    """A picture of music."""

    caption: str
    svg: Markup
    sizes: Sizes
    remarks: tuple[str, ...]
    notes: Markup | None  # of its player; None where nothing sounds, or a pair's player has it


def figure_of(engraving: Engraving, caption: str, song: Song | None = None) -> Figure:
    """Make a figure of an engraving; with its song it gets a player of its own."""
    notes = None
    if song is not None and engraving.sounding:
        notes = player_notes(caption, [Track(song.title, song, engraving)])
    svg = Markup(engraving.svg)  # noqa: S704 - our engraver escapes every text in it
    return Figure(caption, svg, engraving.sizes, engraving.remarks, notes)


def song_figure(
    shown: ShownSong,
    caption: str,
    *,
    prefix: str,
    measures: tuple[int, int] | None = None,
    marks: Sequence[PhraseMark] = (),
) -> Figure:
    """Engrave a song, or some of its measures, with tab and sound.

    Raises
    ------
    QueryError
        If the song has none of the measures.
    """
    engraving = engrave(
        shown.song,
        tab=shown.tab,
        measures=measures,
        marks=marks,
        look=Look(prefix, shown.count),
    )
    return figure_of(engraving, caption, shown.song)


def answering_player(
    name: str,
    songs: tuple[Song, Song],
    engravings: tuple[Engraving, Engraving],
    first_answer: tuple[int, int],
    transposition: int,
) -> Markup | None:
    """Play a phrase and its match, one after the other or together; None where one is silent.

    Parameters
    ----------
    first_answer : (int, int)
        The numbers of matched notes in both melodies, those of the first before.
    transposition : int
        Half-steps from the first up to the second.
    """
    if not all(engraving.sounding for engraving in engravings):
        return None
    one, other = (
        Track(
            song.title,
            song,
            engraving,
            meets_beats=_heard_at(song, engraving, note),
            half_steps_to_first=half_steps,
        )
        for song, engraving, note, half_steps in zip(
            songs, engravings, first_answer, (0, -transposition), strict=True
        )
    )
    return player_notes(name, [one, other])


def _heard_at(song: Song, engraving: Engraving, note: int) -> float:
    """Return when a note of the melody is first heard in an excerpt."""
    return max(0.0, float(song.melody.onsets[note]) - engraving.begin_beats)
