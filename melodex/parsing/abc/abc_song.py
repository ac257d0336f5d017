"""Build a song from the text of one ABC tune."""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from melodex.model.song import ChordSymbol, Song, Source, Syllable
from melodex.parsing.abc.abc_book import TuneText
from melodex.parsing.abc.abc_header import AbcLine, Header, abc_lines, read_header
from melodex.parsing.abc.abc_layout import Layout, layout_of, quarters
from melodex.parsing.abc.abc_lyrics import align_lyrics
from melodex.parsing.abc.abc_parts import order_of_parts, played_parts
from melodex.parsing.abc.abc_text import clean_text
from melodex.parsing.abc.abc_tune import TuneReader
from melodex.parsing.abc.abc_voice import VoiceReader
from melodex.parsing.measures import MeasureList
from melodex.parsing.melody_line import MelodyLine, melody_line
from melodex.parsing.repeats import played_sections

UNTITLED = "Untitled"
UNMARKED_PARTS = "The order of parts '{}' was not followed, because some parts are not marked."
LATE_TIES = "Ties written before their second note ({} in all) were read as ties."
OPEN_CHORD = (
    "A chord whose bracket is not closed with ] was read up to the next space, bracket or bar line."
)
TOO_MANY_REPEATS = "There are too many repeats: some are left out of the order of playing."

# Source: ABC 2.1, section 4.18, read liberally: note, accidental, types, bass. A chord in brackets
# after it is an alternative, printed but not played. Anything else in quotation marks, such as a
# fingering or a word, is an annotation. The possessive *+ prevents exponential backtracking over a
# long row of digits.
_CHORD = re.compile(
    r"([A-G][#b]?(?:maj|min|m|M|dim|aug|sus|add|alt|[+°ø-]|[#b]?\d{1,2}|\([#b+-]?\d{1,2}\))*+"
    r"(?:/[A-Ga-g][#b]?)?)(?:\s*\([A-G].*\))?"
)


class BookFacts(NamedTuple):
    """Facts that apply to every tune of a file."""

    file: str
    collection: str
    header: Sequence[AbcLine]  # lines of the file header
    is_strict: bool  # whether the file declares ABC 2.1
    line_is_phrase: bool


def read_tune(tune: TuneText, book: BookFacts) -> Song:
    """Read one tune.

    Raises
    ------
    AbcError
        At a place that cannot be interpreted.
    """
    header, body = read_header(book.header, abc_lines(tune.first_line, tune.lines))
    is_strict = book.is_strict if header.is_strict is None else header.is_strict
    reader = TuneReader(header, is_strict=is_strict, line_is_phrase=book.line_is_phrase)
    reader.read(body)
    voice = reader.melody_voice()
    layout = layout_of(voice)
    line = melody_line(voice.written(), layout.measures)
    sections, remarks = _sections(header, voice, layout)
    titles = [title for title in header.titles if title] or [UNTITLED]
    return Song(
        title=titles[0],
        other_titles=tuple(titles[1:]),
        melody=line.melody,
        measures=layout.measures.grid(),
        sections=np.array(sections),
        source=Source(book.file, header.number, tune.first_line),
        collection=book.collection,
        key=header.key.key,
        metre=layout.metres[0].metre,
        metre_changes=tuple(layout.metres[1:]),
        tempo=reader.tempo,
        chords=tuple(_chord_symbols(voice)),
        bar_lines=layout.bars.special,
        lyrics=tuple(_syllables(voice, line, layout.measures)),
        remarks=(
            *tune.remarks,
            *header.remarks,
            *reader.remarks,
            *_deviations(voice),
            *remarks,
        ),
    )


def _deviations(voice: VoiceReader) -> Iterator[str]:
    """Yield remarks on what was accepted although the standard does not allow it."""
    if voice.late_ties:
        yield LATE_TIES.format(voice.late_ties)
    if voice.has_open_chord:
        yield OPEN_CHORD


def _sections(
    header: Header, voice: VoiceReader, layout: Layout
) -> tuple[list[tuple[float, float]], list[str]]:
    """Return the sections as played, and remarks about them."""
    marks, remarks = layout.bars.marks, list[str]()
    played = None
    if header.part_order:
        parts = [(quarters(onset), label) for onset, label in voice.parts]
        played = played_parts(header.part_order, parts, marks, layout.end)
        if not played and order_of_parts(header.part_order):
            remarks.append(UNMARKED_PARTS.format(header.part_order))
    if not played:
        played = played_sections(marks, layout.end)
    if played.shortened:
        remarks.append(TOO_MANY_REPEATS)
    return played.sections, remarks


def _chord_symbols(voice: VoiceReader) -> Iterator[ChordSymbol]:
    for onset, text in voice.quoted:
        match = _CHORD.fullmatch(clean_text(text).replace("♯", "#").replace("♭", "b"))
        if match:
            yield ChordSymbol(quarters(onset), match[1])


def _syllables(voice: VoiceReader, line: MelodyLine, measures: MeasureList) -> Iterator[Syllable]:
    """Yield the syllables sung; where notes are tied, only the first one's."""
    if not voice.lyrics:
        return
    bar_of_note = measures.measure_of(np.array(voice.written().onsets)).tolist()
    sung = -1
    for words in voice.lyrics:
        for written_note, text in align_lyrics(words, bar_of_note):
            note = int(line.note_of_written[written_note])
            if note > sung:
                yield Syllable(note, text)
                sung = note
