"""Draw songs as staff and five-string tab, with marked phrases, measures and notes named by ids."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from melodex.engraving.engraved_score import score_of
from melodex.engraving.mei import Bracket, Score, add_bracket, mei_document, mei_text
from melodex.engraving.mei_layers import HeadMark
from melodex.engraving.sounding import (
    PlayedMeasure,
    SoundingNote,
    played_length,
    played_measures,
    sounding_notes,
)
from melodex.engraving.svg_measures import Sizes
from melodex.engraving.svg_music import Picture, finished_svg
from melodex.engraving.verovio_svg import svg_of_line
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.notation.measure_names import measures_in_words

MELODY_LEGEND = "Ringed frets are the melody; the others are filler."
COLOURS = "abcdef"  # as in music.css; a seventh phrase reuses the first


@dataclass(frozen=True, slots=True)
class PhraseMark:
    """A phrase to be marked; its notes are indices in the song's melody."""

    letter: str
    notes: tuple[int, ...]  # ascending
    differing: frozenset[int] = frozenset()  # those that differ from their match

    @property
    def kinds(self) -> str:
        """CSS classes: "mark mark-a"."""
        return f"mark mark-{COLOURS[(ord(self.letter[0].lower()) - ord('a')) % len(COLOURS)]}"


@dataclass(frozen=True, slots=True)
class Look:
    """Options for drawing music."""

    prefix: str = "a"  # of every id; must be unique among the pictures of a page
    count: bool = False  # whether to count the beats in a line below a tab, "1 & 2 &"


AS_USUAL = Look()


@dataclass(frozen=True, slots=True)
class Engraving:
    """A picture of music, and the notes that sound in it."""

    svg: str  # HTML with an SVG for each measure; lines break to fit the page
    sizes: Sizes
    name: str  # the prefix of its ids
    sounding: tuple[SoundingNote, ...]  # as played; repeated notes occur again
    played: tuple[PlayedMeasure, ...]
    begin_beats: float  # quarter notes of the song before its first measure
    length_beats: float  # duration of the music in quarter notes
    pickup_beats: float  # quarter notes missing at the start of its first measure
    remarks: tuple[str, ...]  # sentences about what the picture does not show exactly


def engrave(
    song: Song,
    *,
    tab: Tab | None = None,
    measures: tuple[int, int] | None = None,
    marks: Sequence[PhraseMark] = (),
    look: Look = AS_USUAL,
) -> Engraving:
    """Draw a song, or some of its measures, for an HTML page.

    Each measure is an SVG in an element whose ``data-measure`` is its number as written; notes have
    ids. Colours, the style of marks and line breaks are left to ``static/music.css``.

    Parameters
    ----------
    tab : Tab or None
        The song's tab, drawn below the staff.
    measures : (int, int) or None
        First and last number as written; None for all, played with every repeat.
    marks : sequence of PhraseMark
        Phrases to mark with a colour and a bracket with a letter; differing notes get another
        shape.
    look : Look
        The prefix of ids, and whether to count beats.

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    heads = {
        note: HeadMark(mark.kinds, note in mark.differing) for mark in marks for note in mark.notes
    }
    score = score_of(song, tab, measures, heads, count=look.count)
    document = mei_document(score)
    for mark in marks:
        _add_mark(document, mark, score)
    line = svg_of_line(mei_text(document))
    picture = finished_svg(line, Picture(look.prefix, _name(score), score))
    whole = measures is None
    return Engraving(
        svg=picture.text,
        sizes=picture.sizes,
        name=look.prefix,
        sounding=sounding_notes(score, look.prefix, whole=whole),
        played=played_measures(score, whole=whole),
        begin_beats=float(score.measures[0].span.onset),
        length_beats=played_length(score, whole=whole),
        pickup_beats=float(score.measures[0].place),
        remarks=_remarks(score),
    )


def _add_mark(document: Element, mark: PhraseMark, score: Score) -> None:
    """Draw a bracket over the notes of a phrase that the picture shows."""
    notes = set(mark.notes)
    shown = [
        name
        for number, sound in enumerate(score.staff.sounds)
        if sound.heads[0].note in notes
        for name in score.staff.ids[number, 0]
    ]
    if shown:
        add_bracket(document, Bracket(mark.kinds, mark.letter, shown[0], shown[-1]))


def _name(score: Score) -> str:
    numbers = [measure.span.number for measure in score.measures if not measure.is_second_part]
    shown = "Staff and tab" if score.tab else "Staff"
    return f"{shown} of {score.song.title}, {measures_in_words(numbers)}"


def _remarks(score: Score) -> tuple[str, ...]:
    """Explain ringed frets, and list measures whose written rhythm is rounded."""
    remarks: list[str] = []
    if score.tab and any(
        head.on_string and head.on_string.is_melody
        for sound in score.tab.sounds
        for head in sound.heads
    ):
        remarks.append(MELODY_LEGEND)
    voices = [score.staff, *([score.tab] if score.tab else [])]
    rounded = {
        measure.span.number
        for voice in voices
        for measure, rhythm in zip(score.measures, voice.rhythms, strict=True)
        if rhythm.is_rounded
    }
    if rounded:
        listed = measures_in_words(sorted(rounded)).replace(", then", ",")
        remarks.append(
            f"The rhythm of {listed} has no exact notation: note values are rounded there."
        )
    return tuple(remarks)
