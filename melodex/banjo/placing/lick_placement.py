"""A lick carried into a song: the places where it fits, and the song's tab with the lick in it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from melodex.banjo.fingering_settings import FREE_REACH
from melodex.banjo.placing.lick_hands import played
from melodex.banjo.placing.lick_metre import LickInMetre, in_metre_of
from melodex.banjo.placing.lick_sounds import sounds_in, tab_notes
from melodex.banjo.placing.lick_strain import hands_kept, has_finger_twice, strains_left_hand
from melodex.banjo.placing.lick_windows import Window, windows_of
from melodex.banjo.placing.placement_fit import LickInSong, fit_of
from melodex.banjo.placing.seams import (
    changed_beside,
    notes_before,
    notes_behind,
    sounds_before,
    sounds_behind,
)
from melodex.banjo.sounded_song import sounded_song
from melodex.model.lick import Lick
from melodex.model.results.placement import LickFit
from melodex.model.song import ChordSymbol
from melodex.model.tablature import Tab, TabNote

SAME_MELODY = 0.95  # likeness from which on the lick stands there already
MOST_FINGERED = 24  # windows, the best before the hand is asked


@dataclass(frozen=True, slots=True, eq=False)
class PlacedLick:
    """A lick in one place of a song."""

    window: Window
    fit: LickFit
    notes: tuple[TabNote, ...]  # the lick's
    form: str  # how the song's metre counts it, in words
    beside: tuple[TabNote, ...] = ()  # the song's notes that get another finger, or are struck now

    @property
    def measures(self) -> tuple[int, int]:
        """First and last measure, as written."""
        return self.window.measures[0], self.window.measures[-1]


def places_for(
    tab: Tab, chords: Sequence[ChordSymbol], lick: Lick
) -> tuple[list[PlacedLick], list[PlacedLick]]:
    """Find where a lick fits into a song.

    Parameters
    ----------
    tab : Tab
        The song as it is played now.
    chords : sequence of ChordSymbol
        Stated or estimated.

    Returns
    -------
    places : list of PlacedLick
        The best first, of equal ones the earlier.
    already : list of PlacedLick
        Where the song has the lick as it is, in order.

    Raises
    ------
    MelodyError
        If no stretch of the song suits the lick, or the neck is too short for it.
    """
    song = sounded_song(tab.song, tab.notes, tab.tuning)
    counted = in_metre_of(song, lick)
    windows = windows_of(song, counted.lick)
    judge = LickInSong(song, chords, counted, tab.tuning, windows)
    fits = [(window, judge.best_fit(window)) for window in windows]
    already = [
        PlacedLick(window, fit, (), counted.form)
        for window, fit in fits
        if fit.likeness >= SAME_MELODY
    ]
    new = [
        (window, fit)
        for window, fit in fits
        if fit.likeness < SAME_MELODY and not judge.leaves_the_end_open(window)
    ]
    best = sorted(new, key=lambda each: -fit_of(each[1]))[:MOST_FINGERED]
    placed = [_under_the_hand(tab, counted, window, fit) for window, fit in best]
    return sorted(placed, key=lambda each: (-fit_of(each.fit), each.window.begin)), already


def with_lick(tab: Tab, placed: PlacedLick) -> Tab:
    """Return a song's tab with the lick instead of what stood in its place.

    A note held into the place ends there. What began before it or begins behind it stays, save
    that the second note of a slur that began in the place is struck, and that a note beside the
    lick gets another finger where the lick could not take turns with it.
    """
    beside = {(note.onset, note.string): note for note in placed.beside}
    before = [_ending_by(note, placed.window.begin) for note in notes_before(tab, placed.window)]
    around = [
        [beside.get((note.onset, note.string), note) for note in side]
        for side in (before, notes_behind(tab, placed.window))
    ]
    notes = (*around[0], *placed.notes, *around[1])
    return replace(tab, song=sounded_song(tab.song, notes, tab.tuning), notes=notes)


def _ending_by(note: TabNote, end: float) -> TabNote:
    return replace(note, duration=min(note.duration, end - note.onset))


def _under_the_hand(tab: Tab, counted: LickInMetre, window: Window, fit: LickFit) -> PlacedLick:
    """Finger the lick between its neighbours, and see what that asks of the hands."""
    lick = counted.lick
    asked = sounds_in(window, lick, fit.transposition, tab.tuning)
    before, after = sounds_before(tab, window), sounds_behind(tab, window)
    sounds = played([*before, *asked, *after], tab.tuning)
    begin, end = len(before), len(before) + len(asked)
    own = sounds[begin:end]
    notes = tab_notes(own, lick.melody.durations.tolist())
    kept = hands_kept(asked, own)
    length = window.end - window.begin
    near_before = [n for n in notes_before(tab, window) if window.begin - n.onset <= length]
    near_behind = [n for n in notes_behind(tab, window) if n.onset - window.end < length]
    moved = replace(
        fit,
        hand_in=_hand_moves(reversed(near_before), notes),
        hand_out=_hand_moves(reversed(notes), near_behind),
        hands_kept=kept,
        slurs_struck=sum(
            bool(note.left_hand) and not left_hand
            for sound, each in zip(asked, own, strict=True)
            for note, left_hand in zip(sound.notes, each.left_hands, strict=True)
        ),
        strains=kept != "strings and frets" and strains_left_hand(own),
        finger_twice=has_finger_twice(sounds),
    )
    beside = changed_beside(tab, window, [*sounds[:begin], *sounds[end:]])
    return PlacedLick(window, moved, notes, counted.form, beside)


def _hand_moves(nearest_before: Iterable[TabNote], nearest_after: Iterable[TabNote]) -> int:
    """Return how many frets lie between two fretted notes beyond the reach of four fingers."""
    frets = [
        next((note.fret for note in notes if note.fret), None)
        for notes in (nearest_before, nearest_after)
    ]
    one, other = frets
    return 0 if one is None or other is None else max(abs(one - other) - FREE_REACH, 0)
