"""The song's notes on either side of a placed lick, and how they change."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from melodex.banjo.fingering_settings import is_fast
from melodex.banjo.placing.lick_hands import PlayedSound
from melodex.banjo.placing.lick_sounds import sounds_of_song
from melodex.banjo.placing.lick_ways import LickSound
from melodex.banjo.placing.lick_windows import LickWindow
from melodex.features.playing.slurs import struck_without_starts
from melodex.model.tablature import Tab, TabNote
from melodex.parsing.measures import ROUNDING

NEIGHBOURS = 3  # strokes on either side; the outermost keep their fingers


def notes_before(tab: Tab, window: LickWindow) -> list[TabNote]:
    """Return the song's notes that begin before a place."""
    return [note for note in tab.notes if note.onset < window.begin - ROUNDING]


def notes_after(tab: Tab, window: LickWindow) -> list[TabNote]:
    """Return the song's notes after a place; those slurred from a note inside it are struck."""
    after = [note for note in tab.notes if note.onset >= window.end - ROUNDING]
    return struck_without_starts(after, tab.notes)


def sounds_before(tab: Tab, window: LickWindow) -> list[LickSound]:
    """Return the song's last strokes before a place, no farther away than the place is long."""
    near = [
        note
        for note in notes_before(tab, window)
        if note.is_struck and window.begin - note.onset <= window.end - window.begin
    ]
    sounds = sounds_of_song(near, window.measures[0], tab.tuning)
    return _nearest(sounds[::-1], NEIGHBOURS)[::-1]


def sounds_after(tab: Tab, window: LickWindow) -> list[LickSound]:
    """Return the song's first strokes after a place, up to one beyond those struck anew."""
    after = notes_after(tab, window)
    anew = max((note.onset for note in _struck_anew(tab, after)), default=-1.0)
    sounds = sounds_of_song(
        [note for note in after if note.is_struck], window.measures[-1], tab.tuning
    )
    needed = max(sum(sound.onset <= anew for sound in sounds) + 1, NEIGHBOURS)
    return _nearest(sounds, needed)


def _nearest(outward: Sequence[LickSound], count: int) -> list[LickSound]:
    """Return a number of strokes; the last one's finger is fixed if the song continues after it.

    They stop before a finger that the song itself uses twice in a row, which the lick does not
    affect.
    """
    taken = [*outward[:1]]
    for one, other in pairwise(outward[:count]):
        fingers = {note.finger for note in one.notes} & {note.finger for note in other.notes}
        if fingers - {""} and is_fast(*sorted((one.onset, other.onset))):
            break
        taken.append(other)
    goes_on = len(taken) < len(outward)
    return [*taken[:-1], *(sound._replace(is_settled=goes_on) for sound in taken[-1:])]


def changed_beside(
    tab: Tab, window: LickWindow, played: Sequence[PlayedSound]
) -> tuple[TabNote, ...]:
    """Return the song's notes beside a place that are now struck, or by another finger.

    A note whose finger was unknown stays so.
    """
    finger_of = {
        (sound.onset, place.string): finger
        for sound in played
        for place, finger in zip(sound.places, sound.fingers, strict=True)
    }
    after = notes_after(tab, window)
    anew = {(note.onset, note.string) for note in _struck_anew(tab, after)}
    return tuple(
        replace(note, finger=finger_of[place])
        for note in (*notes_before(tab, window), *after)
        if (place := (note.onset, note.string)) in finger_of
        and (place in anew or note.finger not in ("", finger_of[place]))
    )


def _struck_anew(tab: Tab, after: Sequence[TabNote]) -> Iterator[TabNote]:
    slurred = {(note.onset, note.string) for note in tab.notes if not note.is_struck}
    return (note for note in after if note.is_struck and (note.onset, note.string) in slurred)
