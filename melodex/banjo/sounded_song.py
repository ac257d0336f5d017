"""Convert a tab to the song that it sounds, to be stored, searched and written like any other."""

from collections.abc import Iterable
from dataclasses import replace

from melodex.model.song import MetreChange, Song
from melodex.model.tablature import TabNote
from melodex.model.tuning import BanjoTuning
from melodex.parsing.measures import measure_list_of
from melodex.parsing.written_score import WrittenMeasure, WrittenNote, WrittenScore, song_of


def sounded_song(song: Song, notes: Iterable[TabNote], tuning: BanjoTuning) -> Song:
    """Return a song with the notes of a tab; its bar lines, repeats, key and chords stay."""
    written = [
        WrittenNote(
            note.onset,
            note.duration,
            tuning.pitch(note.string, note.fret),
            note.string,
            note.fret,
            left_hand=note.left_hand,
            finger=note.finger,
            is_melody=note.is_melody,
        )
        for note in notes
    ]
    grid = song.measures
    score = WrittenScore(
        notes=written,
        measures=[
            WrittenMeasure(onset, number)
            for onset, number in zip(grid.onsets.tolist(), grid.numbers.tolist(), strict=True)
        ],
        end=measure_list_of(song).end,
        metres=[MetreChange(0.0, song.metre), *song.metre_changes],
        key=song.key,
        tempo=song.tempo,
        chords=song.chords,
        bar_lines=song.bar_lines,
        tuning=tuning.open_strings,
        remarks=song.remarks,
    )
    sounded = song_of(score, [song.title, *song.other_titles], song.source, song.collection)
    return replace(sounded, measures=grid, sections=song.sections)
