"""MusicXML files to songs."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np

from melodex.errors import ScoreParseError
from melodex.model.reading import Reading
from melodex.model.song import Song, Source
from melodex.parsing.part_choice import (
    choice_remarks,
    melody_part,
    notation_beside,
    part_id,
    with_facts_of_others,
)
from melodex.parsing.repeats import RepeatMark
from melodex.parsing.score.musicxml_document import flaw_in, for_the_ear, has_jumps, partwise
from melodex.parsing.score.notation_agreement import disagreement
from melodex.parsing.score.part_outline import outlines_of, parts_needed, remarks_on_choice
from melodex.parsing.score.score_bridge import piece_of_musicxml
from melodex.parsing.score.score_tablature import sound_tab, stated_tuning
from melodex.parsing.tune_by_tune import read_tunes
from melodex.parsing.written_score import WrittenNote, WrittenPart, WrittenPiece, song_of

NO_NOTES = "it has no notes with a pitch, only rests or percussion"
JUMPS = "It has a da capo or dal segno, which is not followed: it is kept as written."


def read_musicxml(
    documents: Sequence[Callable[[], Element]], file: str, collection: str
) -> Reading:
    """Read the scores of a MusicXML file, each a song.

    Parameters
    ----------
    documents : sequence of callables
        Each returns the root of a score, or raises ScoreParseError; there are several only in an
        archive that presents an opus.
    file : str
        Its name, as songs and failures will give it.
    collection : str
        The name of the collection that the songs belong to.

    Source
    ------
    MusicXML 4.0. Pitches are kept as they sound, so a transposing part is moved by its transpose
    element; a clef an octave down moves nothing, since MusicXML's pitches have that in them.
    """
    numbers = map(str, range(1, len(documents) + 1)) if len(documents) > 1 else [""]
    return read_tunes(
        (Source(file, number), partial(_song_of_musicxml, document, collection))
        for number, document in zip(numbers, documents, strict=False)
    )


def _song_of_musicxml(document: Callable[[], Element], collection: str, source: Source) -> Song:
    shown = Path(source.file)
    score = partwise(document())
    if score.tag != "score-partwise":
        reason = f"it is XML, but no MusicXML score: its content is <{score.tag}>"
        raise ScoreParseError(shown, tune=source.tune, reason=reason)
    flaw = flaw_in(score)
    if flaw:
        raise ScoreParseError(shown, tune=source.tune, reason=flaw)
    outlines = outlines_of(score)
    if not outlines:
        raise ScoreParseError(shown, tune=source.tune, reason=NO_NOTES)
    piece = piece_of_musicxml(for_the_ear(score, parts_needed(outlines)), shown)
    parts = [_with_unseen_facts(part, score) for part in piece.parts]
    song = _song_of_piece(piece._replace(parts=parts), source, collection)
    jumps = [JUMPS] if has_jumps(score) else []
    return replace(song, remarks=(*remarks_on_choice(outlines), *song.remarks, *jumps))


def _with_unseen_facts(part: WrittenPart, score: Element) -> WrittenPart:
    """Add what music21 passes over: the tuning of tab, and repeats that begin without a sign."""
    for element in score.findall("part"):
        if element.get("id", "") == part_id(part):
            staff_number = part.staff.partition("-Staff")[2] or "1"
            tuning = stated_tuning(element, staff_number) if part.is_tab else ()
            marks = [*part.score.repeat_marks, *_unmarked_starts(element, part)]
            return part._replace(score=replace(part.score, tuning=tuning, repeat_marks=marks))
    return part


def _unmarked_starts(element: Element, part: WrittenPart) -> Iterator[RepeatMark]:
    """Yield the repeats that begin where only players are told so.

    Source
    ------
    MusicXML 4.0, element sound: forward-repeat stands where a repeat begins without a sign.
    """
    for xml, measure in zip(element.findall("measure"), part.score.measures, strict=False):
        if any(sound.get("forward-repeat") == "yes" for sound in xml.iter("sound")):
            yield RepeatMark(measure.onset, starts=True)


def _song_of_piece(piece: WrittenPiece, source: Source, collection: str) -> Song:
    parts = [part for part in piece.parts if part.has_notes]
    if not parts:
        raise ScoreParseError(Path(source.file), tune=source.tune, reason=NO_NOTES)
    chosen = melody_part(parts)
    notation = notation_beside(chosen, parts) if chosen.is_tab else None
    staff = _staff_remarks(chosen, (part for part in parts if part is not notation))
    score = with_facts_of_others(chosen.score, parts)
    score = replace(score, remarks=[*score.remarks, *staff])
    if not chosen.is_tab:
        return song_of(score, piece.titles, source, collection)
    tab = sound_tab(score.notes, score.tuning)
    notations = [score.notes, *([notation.score.notes] if notation else [])]
    song = song_of(
        replace(score, notes=_with_lyrics_of(notations, tab)), piece.titles, source, collection
    )
    remarks = disagreement(tab, notations, lambda onset: _measure_at(song, onset))
    return replace(song, remarks=(*song.remarks, *remarks))


def _staff_remarks(chosen: WrittenPart, parts: Iterable[WrittenPart]) -> list[str]:
    """Remark which staff was read of a part that has several with notes of their own."""
    staves = [part.staff for part in parts if part_id(part) == part_id(chosen)]
    if "-Staff" not in chosen.staff:
        return []
    return choice_remarks("staff", [""] * len(staves), staves.index(chosen.staff))


def _with_lyrics_of(
    notations: Iterable[Iterable[WrittenNote]], tab: Sequence[WrittenNote]
) -> list[WrittenNote]:
    """Copy the words under the notation to the notes in tab that have none."""
    words = {
        note.onset: note.syllable for notation in notations for note in notation if note.syllable
    }
    return [
        note._replace(syllable=words.pop(note.onset, "")) if note.duration else note for note in tab
    ]


def _measure_at(song: Song, onset: float) -> int:
    place = int(np.searchsorted(song.measures.onsets, onset, side="right")) - 1
    return int(song.measures.numbers[place])
