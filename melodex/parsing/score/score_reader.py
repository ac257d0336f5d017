"""MusicXML and kern files to songs."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np

from melodex.errors import ScoreParseError
from melodex.model.reading import Failure, Reading
from melodex.model.song import Song, Source
from melodex.parsing.score.musicxml_document import flaw_in, for_the_ear, has_jumps, partwise
from melodex.parsing.score.notation_agreement import disagreement
from melodex.parsing.score.part_choice import melody_part, notation_beside
from melodex.parsing.score.score_bridge import piece_of_musicxml, pieces_of_kern
from melodex.parsing.score.tablature import sound_tab, stated_tuning
from melodex.parsing.written_score import (
    WrittenNote,
    WrittenPart,
    WrittenPiece,
    WrittenScore,
    song_of,
)

JUMPS = "It has a da capo or dal segno, which is not followed: it is kept as written."


def read_musicxml(documents: Sequence[Element], file: str, collection: str) -> Reading:
    """Read the scores of a MusicXML file, each a song.

    Parameters
    ----------
    documents : sequence of Element
        The roots of its scores; there are several only in an archive that presents an opus.
    file : str
        Its name, as songs and failures will give it.
    collection : str
        The name of the collection that the songs belong to.

    Source
    ------
    MusicXML 4.0. Pitches are kept as they sound, so a transposing part is moved by its transpose
    element; a clef an octave down moves nothing, since MusicXML's pitches have that in them.
    """
    songs: list[Song] = []
    failures: list[Failure] = []
    for number, document in enumerate(documents, start=1):
        source = Source(file, str(number) if len(documents) > 1 else "")
        try:
            songs.append(_song_of_musicxml(partwise(document), source, collection))
        except ScoreParseError as error:
            failures.append(Failure(file, source.tune, error.line, error.reason))
    return Reading(tuple(songs), tuple(failures))


def read_kern(text: str, file: str, collection: str) -> Reading:
    """Read the pieces of a Humdrum kern file, each a song; parameters as for ``read_musicxml``."""
    songs: list[Song] = []
    failures: list[Failure] = []
    pieces = pieces_of_kern(text, Path(file))
    for number, piece in enumerate(pieces, start=1):
        source = Source(file, str(number) if len(pieces) > 1 else "")
        try:
            songs.append(_song_of_piece(piece, source, collection))
        except ScoreParseError as error:
            failures.append(Failure(file, source.tune, error.line, error.reason))
    return Reading(tuple(songs), tuple(failures))


def _song_of_musicxml(score: Element, source: Source, collection: str) -> Song:
    shown = Path(source.file)
    if score.tag != "score-partwise":
        reason = f"it is XML, but no MusicXML score: its content is <{score.tag}>"
        raise ScoreParseError(shown, tune=source.tune, reason=reason)
    flaw = flaw_in(score)
    if flaw:
        raise ScoreParseError(shown, tune=source.tune, reason=flaw)
    piece = piece_of_musicxml(for_the_ear(score), shown)
    parts = [_with_tuning(part, score) if part.is_tab else part for part in piece.parts]
    song = _song_of_piece(piece._replace(parts=parts), source, collection)
    return replace(song, remarks=(*song.remarks, JUMPS)) if has_jumps(score) else song


def _with_tuning(part: WrittenPart, score: Element) -> WrittenPart:
    part_id, _, staff_number = part.staff.partition("-Staff")
    for element in score.findall("part"):
        if element.get("id", "") == part_id:
            tuning = stated_tuning(element, staff_number or "1")
            return part._replace(score=replace(part.score, tuning=tuning))
    return part


def _song_of_piece(piece: WrittenPiece, source: Source, collection: str) -> Song:
    parts = [part for part in piece.parts if part.has_notes]
    if not parts:
        reason = "it has no notes with a pitch, only rests or percussion"
        raise ScoreParseError(Path(source.file), tune=source.tune, reason=reason)
    chosen = melody_part(parts)
    score = _with_facts_of_others(chosen.score, parts)
    if not chosen.is_tab:
        return song_of(score, piece.titles, source, collection)
    notation = notation_beside(chosen, parts)
    tab = sound_tab(score.notes, score.tuning)
    notations = [score.notes, *([notation.score.notes] if notation else [])]
    song = song_of(
        replace(score, notes=_with_lyrics_of(notations, tab)), piece.titles, source, collection
    )
    remarks = disagreement(tab, notations, lambda onset: _measure_at(song, onset))
    return replace(song, remarks=(*song.remarks, *remarks))


def _with_facts_of_others(score: WrittenScore, parts: Sequence[WrittenPart]) -> WrittenScore:
    """Take chord symbols and tempo from the first other part that has them."""
    scores = [score, *(part.score for part in parts)]
    return replace(
        score,
        chords=next((each.chords for each in scores if each.chords), ()),
        tempo=next((each.tempo for each in scores if each.tempo), None),
    )


def _with_lyrics_of(
    notations: Iterable[Iterable[WrittenNote]], tab: Sequence[WrittenNote]
) -> list[WrittenNote]:
    """Give notes in tab the words that stand under the notation, if they have none."""
    words = {
        note.onset: note.syllable for notation in notations for note in notation if note.syllable
    }
    return [
        note._replace(syllable=words.pop(note.onset, "")) if note.duration else note for note in tab
    ]


def _measure_at(song: Song, onset: float) -> int:
    place = int(np.searchsorted(song.measures.onsets, onset, side="right")) - 1
    return int(song.measures.numbers[place])
