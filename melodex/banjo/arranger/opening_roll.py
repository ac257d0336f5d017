"""A measure of rolls that leads into a tune without a pickup."""

from dataclasses import replace

import numpy as np

from melodex.banjo.arranger.roll_slots import SlottedMeasure
from melodex.model.song import ChordSymbol, MeasureGrid, Song
from melodex.parsing.measures import ROUNDING

OPENED = "A measure of rolls, number 0, leads in: the tune has no pickup of its own."


def with_opening(song: Song, first: SlottedMeasure) -> tuple[Song, list[str]]:
    """Put an empty measure 0 before a tune whose melody begins on the first beat of a measure.

    Returns
    -------
    Song
        All of it later by a measure, its first chord from the start; any other song as it is.
    list of str
        What was done, a sentence; nothing where nothing was.
    """
    melody = song.melody
    has_pickup = len(first.slots) < first.full or first.number == 0
    if has_pickup or float(melody.onsets[0]) > ROUNDING:
        return song, []
    length = first.end - first.onset
    sections = song.sections + length
    sections[0, 0] = 0.0
    later = [replace(chord, onset=chord.onset + length) for chord in song.chords]
    opened = replace(
        song,
        melody=replace(melody, onsets=melody.onsets + length),
        measures=MeasureGrid(
            np.concatenate([[0.0], song.measures.onsets + length]),
            np.concatenate([[0], song.measures.numbers]).astype(np.int32),
        ),
        sections=sections,
        metre_changes=tuple(
            replace(change, onset=change.onset + length) for change in song.metre_changes
        ),
        chords=(*(ChordSymbol(0.0, chord.text) for chord in later[:1]), *later[1:]),
        bar_lines=tuple(replace(line, onset=line.onset + length) for line in song.bar_lines),
    )
    return opened, [OPENED]
