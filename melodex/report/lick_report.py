"""The places of a lick as a report: note answering note, engraved and heard."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from markupsafe import Markup

from melodex.engraving.engrave_song import Look, engrave
from melodex.model.lick import Lick
from melodex.model.results.match import Match
from melodex.model.song import Song
from melodex.notation.measure_names import half_steps_in_words, measures_in_words
from melodex.report.aligned_text import aligned_lines
from melodex.report.evidence_words import left_out_in_words
from melodex.report.figures import (
    Figure,
    ShownSong,
    answering_player,
    figure_of,
    song_figure,
)
from melodex.report.html_page import html_page
from melodex.report.phrase_marks import marks_of
from melodex.report.song_of_lick import song_of_lick
from melodex.report.weak_evidence import weak_lick_in_words

NOTES_WIDTH = 62  # characters of the notes one above the other
_LETTER = "A"


class Answer(NamedTuple):
    """A place that answers the lick."""

    match: Match
    place: str
    key_change: str
    figures: tuple[Figure, Figure]  # the lick, the song
    player: Markup | None
    remarks: tuple[str, ...]  # on the song's tab
    lines: str  # the notes of both, one above the other


def lick_report(
    lick: Lick,
    matches: Sequence[Match],
    songs: Mapping[str, ShownSong],
    *,
    left_out: int = 0,
    searched: int | None = None,
) -> str:
    """Write where a lick stands as one HTML file.

    Parameters
    ----------
    matches : sequence of Match
        Best first.
    songs : mapping
        Their songs by id.
    left_out : int
        How many other matches were found and are left out as likely coincidence.
    searched : int or None
        How many songs were searched, if a limit may have kept some of them out.
    """
    found = len(matches) + left_out
    as_song = song_of_lick(lick)
    return html_page(
        "printed_lick.html",
        title=f"Where the lick stands: {lick.came_from}",
        lick=song_figure(ShownSong(as_song, None, ()), "The lick", prefix="lick"),
        weak_evidence=weak_lick_in_words(len(lick.melody)),
        left_out=left_out_in_words(found, left_out, "matches"),
        found=found,
        searched=found if searched is None else searched,
        answers=[
            _answer(number, lick, as_song, match, songs[match.song])
            for number, match in enumerate(matches, start=1)
        ],
    )


def _answer(number: int, lick: Lick, as_song: Song, match: Match, shown: ShownSong) -> Answer:
    in_lick, in_song = marks_of(
        as_song, shown.song, match.alignment, transposition=match.transposition, letter=_LETTER
    )
    above = engrave(as_song, marks=[in_lick], look=Look(f"lick-{number}"))
    below = engrave(
        shown.song,
        tab=shown.tab,
        measures=(min(match.measures), max(match.measures)),
        marks=[in_song],
        look=Look(f"song-{number}", shown.count),
    )
    place = measures_in_words(match.measures)
    title = f"{match.title}, {place}"
    lines = aligned_lines(
        lick, shown.song, match.alignment, transposition=match.transposition, width=NOTES_WIDTH
    )
    return Answer(
        match=match,
        place=place,
        key_change=half_steps_in_words(match.transposition),
        figures=(figure_of(above, "The lick"), figure_of(below, title)),
        player=answering_player(
            f"the lick and {title}",
            (as_song, shown.song),
            (above, below),
            match.alignment[0],
            match.transposition,
        ),
        remarks=shown.remarks,
        lines="\n".join(lines),
    )
