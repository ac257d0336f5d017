"""The song on either side of a placed lick: what joins it, and what changes there."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from melodex.banjo.fingering_settings import is_fast
from melodex.banjo.placing.lick_hands import PlayedSound
from melodex.banjo.placing.lick_sounds import sounds_of_song
from melodex.banjo.placing.lick_ways import Sound
from melodex.banjo.placing.lick_windows import Window
from melodex.features.slurs import struck_without_starts
from melodex.model.tablature import Tab, TabNote
from melodex.parsing.measures import ROUNDING

NEIGHBOURS = 3  # strokes on either side; the fingers of the outermost stay as they are


def notes_before(tab: Tab, window: Window) -> list[TabNote]:
    """Return the song's notes that begin before a place."""
    return [note for note in tab.notes if note.onset < window.begin - ROUNDING]


def notes_behind(tab: Tab, window: Window) -> list[TabNote]:
    """Return the song's notes behind a place, struck where a slur into them began before."""
    behind = [note for note in tab.notes if note.onset >= window.end - ROUNDING]
    return struck_without_starts(behind, tab.notes)


def sounds_before(tab: Tab, window: Window) -> list[Sound]:
    """Return the song's last strokes before a place that are no farther than the place is long."""
    near = [
        note
        for note in notes_before(tab, window)
        if note.is_struck and window.begin - note.onset <= window.end - window.begin
    ]
    sounds = sounds_of_song(near, window.measures[0], tab.tuning)
    return _nearest(sounds[::-1], NEIGHBOURS)[::-1]


def sounds_behind(tab: Tab, window: Window) -> list[Sound]:
    """Return the song's first strokes behind a place, as far as one past those struck anew."""
    behind = notes_behind(tab, window)
    anew = max((note.onset for note in _struck_anew(tab, behind)), default=-1.0)
    sounds = sounds_of_song(
        [note for note in behind if note.is_struck], window.measures[-1], tab.tuning
    )
    needed = max(sum(sound.onset <= anew for sound in sounds) + 1, NEIGHBOURS)
    return _nearest(sounds, needed)


def _nearest(outward: Sequence[Sound], count: int) -> list[Sound]:
    """Return so many strokes, the finger of the last settled where the song goes on behind it.

    They end before a finger that the song itself has play twice in a row: no business of the lick.
    """
    taken = [*outward[:1]]
    for one, other in pairwise(outward[:count]):
        fingers = {note.finger for note in one.notes} & {note.finger for note in other.notes}
        if fingers - {""} and is_fast(*sorted((one.onset, other.onset))):
            break
        taken.append(other)
    goes_on = len(taken) < len(outward)
    return [*taken[:-1], *(sound._replace(is_settled=goes_on) for sound in taken[-1:])]


def changed_beside(tab: Tab, window: Window, played: Sequence[PlayedSound]) -> tuple[TabNote, ...]:
    """Return the song's notes beside a place that are struck anew or by another finger than before.

    A note of which no finger was known stays so.
    """
    finger_of = {
        (sound.onset, place.string): finger
        for sound in played
        for place, finger in zip(sound.places, sound.fingers, strict=True)
    }
    behind = notes_behind(tab, window)
    anew = {(note.onset, note.string) for note in _struck_anew(tab, behind)}
    return tuple(
        replace(note, finger=finger_of[place])
        for note in (*notes_before(tab, window), *behind)
        if (place := (note.onset, note.string)) in finger_of
        and (place in anew or note.finger not in ("", finger_of[place]))
    )


def _struck_anew(tab: Tab, behind: Sequence[TabNote]) -> Iterator[TabNote]:
    slurred = {(note.onset, note.string) for note in tab.notes if not note.is_struck}
    return (note for note in behind if note.is_struck and (note.onset, note.string) in slurred)
