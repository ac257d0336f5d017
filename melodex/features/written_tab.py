"""The tab in a song's source."""

from itertools import chain

from melodex.model.song import Song, Touch
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import tuning_of_pitches

UNTOUCHED = Touch(-1, 0)
GRACE_NOTES_LEFT_OUT = "Grace notes are left out of the tab."


def written_tab(song: Song) -> Tab | None:
    """Return the tab that a song was read with; None if it is not a five-string tab.

    Grace notes are left out, with a remark.
    """
    tuning = tuning_of_pitches(song.tuning)
    melody, tones = song.melody, song.melody.chord_tones
    if tuning is None or not len(melody):
        return None
    touches = {(touch.note, touch.string): touch for touch in song.touches}
    places = chain(
        zip(range(len(melody)), melody.strings.tolist(), melody.frets.tolist(), strict=True),
        zip(tones.notes.tolist(), tones.strings.tolist(), tones.frets.tolist(), strict=True),
    )
    notes: list[TabNote] = []
    for note, string, fret in places:
        if not tuning.has(string, fret):
            return None
        touch = touches.get((note, string), UNTOUCHED)
        onset, duration = float(melody.onsets[note]), float(melody.durations[note])
        hands = touch.left_hand, touch.finger, touch.is_melody
        notes.append(TabNote(onset, duration, string, fret, *hands))
    remarks = (GRACE_NOTES_LEFT_OUT,) if len(melody.grace_notes.notes) else ()
    return Tab(song, tuning, tuple(sorted(notes, key=_order)), (*song.remarks, *remarks))


def _order(note: TabNote) -> tuple[float, int]:
    return note.onset, note.string
