"""A simple accompaniment of chords for each measure of a melody."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from melodex.engraving.sounding import PlayedMeasure
from melodex.features.chords import chord_tones, chords_during, read_chord
from melodex.model.song import ChordSymbol

_LOWEST_BASS, _LOWEST_TONE = 40, 52  # MIDI, E2 and E3: below most melodies. Common practice.
_OCTAVE = 12


class SoundingChord(NamedTuple):
    """A chord in MIDI pitches."""

    bass: int
    tones: list[int]  # ascending


def sounding_chord(text: str) -> SoundingChord | None:
    """Return the notes of a chord symbol in close position; None if it is not a chord.

    Examples
    --------
    >>> sounding_chord("G7")
    SoundingChord(bass=43, tones=[53, 55, 59, 62])
    """
    chord, classes = read_chord(text), chord_tones(text)
    if chord is None or classes is None:
        return None
    bass = _LOWEST_BASS + (chord.root - _LOWEST_BASS) % _OCTAVE
    tones = [_LOWEST_TONE + (each - _LOWEST_TONE) % _OCTAVE for each in classes]
    return SoundingChord(bass, sorted(tones))


def accompaniment(
    chords: tuple[ChordSymbol, ...], measures: Sequence[PlayedMeasure]
) -> Iterator[tuple[float, float, SoundingChord]]:
    """Yield the chords that accompany the measures played.

    Parameters
    ----------
    chords : tuple of ChordSymbol
        As written, in order.

    Yields
    ------
    (float, float, SoundingChord)
        Onset and length in quarter notes, as played; chord symbols that cannot be parsed are
        skipped.
    """
    for measure in measures:
        begin = measure.written_beats
        reached = max([begin, *_first_onset(chords, begin, begin + measure.length_beats)])
        for text, length in chords_during(chords, begin, begin + measure.length_beats):
            chord = sounding_chord(text)
            if chord is not None:
                yield measure.begin_beats + reached - begin, length, chord
            reached += length


def _first_onset(chords: tuple[ChordSymbol, ...], begin: float, end: float) -> list[float]:
    """Return the onset of the song's first chord if it is within a stretch, else nothing."""
    return [chord.onset for chord in chords[:1] if begin < chord.onset < end]
