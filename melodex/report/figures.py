"""Prepare engraved music with sound for the templates of reports."""

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
    """A song as a report shows it: with its tab, or with the reason why it has none."""

    song: Song
    tab: Tab | None
    remarks: tuple[str, ...]  # cautions and assumptions, a sentence each
    count: bool = False  # whether to count the beats in a line below the tab


class Figure(NamedTuple):
    """A picture of music."""

    caption: str
    svg: Markup
    sizes: Sizes
    remarks: tuple[str, ...]
    notes: Markup | None  # for its player; None if nothing sounds, or the player of a pair has it


def figure_of(engraving: Engraving, caption: str, song: Song | None = None) -> Figure:
    """Return the figure of an engraving; if its song is given, with a player of its own."""
    notes = None
    if song is not None and engraving.sounding:
        notes = player_notes(caption, [Track(song.title, song, engraving)])
    svg = Markup(engraving.svg)  # noqa: S704 - the engraver escapes all text
    return Figure(caption, svg, engraving.sizes, engraving.remarks, notes)


def song_figure(
    shown: ShownSong,
    caption: str,
    *,
    prefix: str,
    measures: tuple[int, int] | None = None,
    marks: Sequence[PhraseMark] = (),
) -> Figure:
    """Return a song, or some of its measures, engraved with tab and sound.

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


def match_player(
    name: str,
    songs: tuple[Song, Song],
    engravings: tuple[Engraving, Engraving],
    first_match: tuple[int, int],
    transposition: int,
) -> Markup | None:
    """Return a player for a phrase and its match; None if one of them is silent.

    Parameters
    ----------
    first_match : (int, int)
        Indices of the first matched notes, in the first and in the second melody.
    transposition : int
        Half-steps from the first to the second; up is positive.
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
            songs, engravings, first_match, (0, -transposition), strict=True
        )
    )
    return player_notes(name, [one, other])


def _heard_at(song: Song, engraving: Engraving, note: int) -> float:
    """Return when a note of the melody first sounds in an excerpt."""
    return max(0.0, float(song.melody.onsets[note]) - engraving.begin_beats)
