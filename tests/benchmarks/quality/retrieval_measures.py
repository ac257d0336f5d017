"""Where in its measure each place of a song lies, found again from what the song keeps."""

from melodex.model.song import MetreChange, Song
from melodex.parsing.measures import MeasureList, list_measures


def measures_of(song: Song) -> MeasureList:
    """List a song's measures as its reader listed them."""
    seams = {line.onset for line in song.bar_lines if not line.ending and line.style != "final"}
    metres = [MetreChange(0.0, song.metre), *song.metre_changes]
    end = max(float(song.sections.max()), float(song.melody.onsets[-1] + song.melody.durations[-1]))
    return list_measures(song.measures.onsets.tolist(), end, metres, seams)
