"""Lay out a song for engraving: staff, tab, measures, and marked notes."""

from collections.abc import Mapping
from types import MappingProxyType

from melodex.engraving.mei import Score
from melodex.engraving.mei_layers import HeadMark, Voice, mark_of
from melodex.engraving.sounding import place_of_pitch
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.notation.tab_measures import measure_spans
from melodex.notation.written_measures import engraved_measures, melody_sounds, tab_sounds

NO_MARKS: Mapping[int, HeadMark] = MappingProxyType({})


def score_of(
    song: Song,
    tab: Tab | None = None,
    measures: tuple[int, int] | None = None,
    marks: Mapping[int, HeadMark] = NO_MARKS,
    *,
    count: bool = False,
) -> Score:
    """Lay out a song or some of its measures; with a tab, in the octave in which it sounds.

    Parameters
    ----------
    marks : mapping
        Marks of notes, by index in the melody.
    count : bool
        Whether to count the beats in a line below the tab, if there is one.

    Raises
    ------
    QueryError
        If the song has none of the measures.
    """
    melody = song.melody
    last_sound = float(max([*(melody.onsets + melody.durations).tolist(), 0.0]))
    spans = [span for span in measure_spans(song, last_sound, measures) if span.length > 0]
    begin, end = spans[0].onset, spans[-1].end
    laid_out = engraved_measures(song, spans)
    octaves = 0 if tab is None else tab.octaves
    staff = Voice("staff", melody_sounds(song, begin, end, octaves=octaves), laid_out)
    under = None if tab is None else Voice("tab", tab_sounds(tab, begin, end), laid_out)
    return Score(
        song=song,
        measures=laid_out,
        staff=staff,
        tab=under,
        tuning=None if tab is None else tab.tuning,
        marks=marks,
        tab_marks={} if under is None else _marks_on_tab(staff, under, marks),
        is_counted=count and under is not None,
    )


def _marks_on_tab(
    staff: Voice, tab: Voice, marks: Mapping[int, HeadMark]
) -> dict[tuple[int, int], HeadMark]:
    number_at = {sound.onset: number for number, sound in enumerate(tab.sounds)}
    found: dict[tuple[int, int], HeadMark] = {}
    for sound in staff.sounds:
        number = number_at.get(sound.onset)
        mark = mark_of(sound, 0, marks)
        if number is None or mark is None:
            continue
        melody = place_of_pitch(tab.sounds[number], sound.heads[0].pitch)
        for place in range(len(tab.sounds[number].heads)):
            found[number, place] = mark if place == melody else mark._replace(differs=False)
    return found
