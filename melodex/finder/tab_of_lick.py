"""A lick as a line of tab."""

from dataclasses import replace

from melodex.banjo.fingered_tab import fingered_tab
from melodex.errors import MelodyError
from melodex.model.lick import Lick
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.model.tuning import tuning_of_pitches
from melodex.report.song_of_lick import place_in_measure, song_of_lick
from melodex.tab_files.tab_text import tabs_to_compare


def tab_of_lick(lick: Lick) -> str | None:
    """Return a lick as five lines of tab with its count: its own tab, else fingered in open G.

    Returns
    -------
    str or None
        None if it does not lie on the neck.
    """
    song = song_of_lick(lick)
    try:
        tab = _own_tab(lick, song) or fingered_tab(song)
    except MelodyError:
        return None
    numbers = song.measures.numbers
    (lines,) = tabs_to_compare([tab], (int(numbers[0]), int(numbers[-1])), count=True)
    return "\n".join(line.rstrip() for line in lines)


def _own_tab(lick: Lick, song: Song) -> Tab | None:
    """Return the tab that a lick comes with, its time counted from the first bar line."""
    if lick.hands is None or (tuning := tuning_of_pitches(lick.hands.open_strings)) is None:
        return None
    later = place_in_measure(lick) - float(lick.melody.onsets[0])
    notes = tuple(replace(note, onset=note.onset + later) for note in lick.hands.notes)
    return Tab(song, tuning, notes)
