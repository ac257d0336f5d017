"""Which notes of a tab carry the melody inside its rolls."""

from dataclasses import replace

from melodex.features.melody_in_rolls import with_melody_marked
from tests.tabs import rolled_songs, tab_of


def marked(title, measure):
    """Return string and fret of the notes marked in a measure of the songbook."""
    song = next(song for song in rolled_songs() if song.title == title)
    tab = with_melody_marked(tab_of(song))
    begin = song.measures.onsets[song.measures.numbers.tolist().index(measure)]
    return [
        (note.onset - begin, note.string, note.fret)
        for note in tab.notes
        if note.is_melody and begin <= note.onset < begin + 4
    ]


def test_in_a_roll_the_beats_carry_the_melody_and_the_drone_never_does():
    # Measure 1 of the tab: forward-reverse, B D g B D g C g, beats on B, g, D and C.
    assert marked("Ladder to the Loft", 1) == [(0, 2, 0), (2, 1, 0), (3, 2, 1)]


def test_in_a_pinch_the_thumbs_notes_do():
    assert marked("Marrow Patch", 1) == [(0, 3, 0), (2, 3, 2)]


def test_a_measure_without_a_roll_has_no_marks():
    # Measure 2 of the songbook's truth has no roll.
    assert marked("First Rhubarb (rolled)", 1) == []


def test_marks_that_a_maker_set_stay_where_notes_stand_between_them():
    tab = tab_of(rolled_songs()[0])
    bar = float(tab.song.measures.onsets[2])
    first, second = (tab.notes[place].onset for place in (0, 1))
    notes = tuple(
        replace(note, is_melody=note.onset in (first, second) or note.onset >= bar)
        for note in tab.notes
    )
    kept = with_melody_marked(replace(tab, notes=notes)).notes
    assert kept[1].is_melody
    assert not any(note.is_melody for note in kept if note.onset >= bar)
