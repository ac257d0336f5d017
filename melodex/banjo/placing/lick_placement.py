"""Find the places where a lick fits a song, and write the song's tab with the lick in it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from melodex.banjo.fingering_settings import FREE_REACH
from melodex.banjo.placing.lick_hands import played
from melodex.banjo.placing.lick_metre import LickInMetre, in_metre_of
from melodex.banjo.placing.lick_sounds import sounds_in, tab_notes
from melodex.banjo.placing.lick_strain import hands_kept, has_finger_twice, strains_left_hand
from melodex.banjo.placing.lick_windows import LickWindow, windows_of
from melodex.banjo.placing.placement_fit import LickInSong, fit_of
from melodex.banjo.placing.seams import (
    changed_beside,
    notes_after,
    notes_before,
    sounds_after,
    sounds_before,
)
from melodex.banjo.sounded_song import sounded_song
from melodex.model.lick import Lick
from melodex.model.results.placement import LickFit
from melodex.model.song import ChordSymbol
from melodex.model.tablature import Tab, TabNote

SAME_MELODY = 0.95  # likeness from which on the song already has the lick there
MOST_FINGERED = 24  # windows to finger, best first


@dataclass(frozen=True, slots=True, eq=False)
class PlacedLick:
    """A lick at one place of a song."""

    window: LickWindow
    fit: LickFit
    notes: tuple[TabNote, ...]  # the lick's notes
    form: str  # how it is counted in the song's metre, in words
    beside: tuple[TabNote, ...] = ()  # notes of the song that are played differently

    @property
    def measures(self) -> tuple[int, int]:
        """First and last measure, as written."""
        return self.window.measures[0], self.window.measures[-1]


def places_for(
    tab: Tab, chords: Sequence[ChordSymbol], lick: Lick
) -> tuple[list[PlacedLick], list[PlacedLick]]:
    """Return where a lick fits into a song.

    Parameters
    ----------
    tab : Tab
        The song's current tab.
    chords : sequence of ChordSymbol
        Stated or estimated.

    Returns
    -------
    places : list of PlacedLick
        Best first, ties by time.
    already : list of PlacedLick
        Places where the song already has the lick, in order.

    Raises
    ------
    MelodyError
        If the lick fits no stretch of the song, or the neck is too short for it.
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
    placed = [_fingered(tab, counted, window, fit) for window, fit in best]
    return sorted(placed, key=lambda each: (-fit_of(each.fit), each.window.begin)), already


def with_lick(tab: Tab, placed: PlacedLick) -> Tab:
    """Return a song's tab with a stretch replaced by the lick.

    A note held into the place ends there. Notes before and after it stay, with two exceptions: the
    second note of a slur that started in the place is struck, and a note next to the lick gets
    another finger if fingers could not alternate otherwise.
    """
    beside = {(note.onset, note.string): note for note in placed.beside}
    before = [_ending_by(note, placed.window.begin) for note in notes_before(tab, placed.window)]
    around = [
        [beside.get((note.onset, note.string), note) for note in side]
        for side in (before, notes_after(tab, placed.window))
    ]
    notes = (*around[0], *placed.notes, *around[1])
    return replace(tab, song=sounded_song(tab.song, notes, tab.tuning), notes=notes)


def _ending_by(note: TabNote, end: float) -> TabNote:
    return replace(note, duration=min(note.duration, end - note.onset))


def _fingered(tab: Tab, counted: LickInMetre, window: LickWindow, fit: LickFit) -> PlacedLick:
    """Finger the lick between its neighbours, and return it with its demands on the hands."""
    lick = counted.lick
    wanted = sounds_in(window, lick, fit.transposition, tab.tuning)
    before, after = sounds_before(tab, window), sounds_after(tab, window)
    sounds = played([*before, *wanted, *after], tab.tuning)
    begin, end = len(before), len(before) + len(wanted)
    own = sounds[begin:end]
    notes = tab_notes(own, lick.melody.durations.tolist())
    kept = hands_kept(wanted, own)
    length = window.end - window.begin
    near_before = [n for n in notes_before(tab, window) if window.begin - n.onset <= length]
    near_after = [n for n in notes_after(tab, window) if n.onset - window.end < length]
    moved = replace(
        fit,
        hand_in=_hand_moves(reversed(near_before), notes),
        hand_out=_hand_moves(reversed(notes), near_after),
        hands_kept=kept,
        slurs_struck=sum(
            bool(note.left_hand) and not left_hand
            for sound, each in zip(wanted, own, strict=True)
            for note, left_hand in zip(sound.notes, each.left_hands, strict=True)
        ),
        strains=kept != "strings and frets" and strains_left_hand(own),
        finger_twice=has_finger_twice(sounds),
    )
    beside = changed_beside(tab, window, [*sounds[:begin], *sounds[end:]])
    return PlacedLick(window, moved, notes, counted.form, beside)


def _hand_moves(nearest_before: Iterable[TabNote], nearest_after: Iterable[TabNote]) -> int:
    """Return how many frets a shift exceeds the reach of four fingers by."""
    frets = [
        next((note.fret for note in notes if note.fret), None)
        for notes in (nearest_before, nearest_after)
    ]
    one, other = frets
    return 0 if one is None or other is None else max(abs(one - other) - FREE_REACH, 0)
