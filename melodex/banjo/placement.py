"""A lick carried into a song: the places where it fits, and the song's tab with the lick in it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from melodex.banjo.fingered_tab import strain
from melodex.banjo.fingering import fingering
from melodex.banjo.fingering_settings import FREE_REACH
from melodex.banjo.lick_windows import Window, windows_of
from melodex.banjo.moments import Moment
from melodex.banjo.placement_fit import LickInSong, fit_of
from melodex.banjo.right_hand import right_hand
from melodex.banjo.sounded_song import sounded_song
from melodex.model.lick import Lick
from melodex.model.placement import LickFit
from melodex.model.song import ChordSymbol
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import BanjoTuning
from melodex.parsing.measures import ROUNDING

SAME_MELODY = 0.95  # likeness from which on the lick stands there already
MOST_FINGERED = 24  # windows, the best before the hand is asked


@dataclass(frozen=True, slots=True, eq=False)
class PlacedLick:
    """A lick in one place of a song."""

    window: Window
    fit: LickFit
    notes: tuple[TabNote, ...]  # the lick's

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
    judge = LickInSong(song, chords, lick, tab.tuning)
    fits = [(window, judge.best_fit(window)) for window in windows_of(song, lick)]
    already = [PlacedLick(window, fit, ()) for window, fit in fits if fit.likeness >= SAME_MELODY]
    new = [(window, fit) for window, fit in fits if fit.likeness < SAME_MELODY]
    best = sorted(new, key=lambda each: -fit_of(each[1]))[:MOST_FINGERED]
    placed = [_under_the_hand(tab, lick, window, fit) for window, fit in best]
    return sorted(placed, key=lambda each: (-fit_of(each.fit), each.window.begin)), already


def with_lick(tab: Tab, placed: PlacedLick) -> Tab:
    """Return a song's tab with the lick instead of what stood in its place.

    A note held into the place ends there; what began before it or begins behind it stays.
    """
    begin, end = placed.window.begin - ROUNDING, placed.window.end - ROUNDING
    before = [_ending_by(note, placed.window.begin) for note in tab.notes if note.onset < begin]
    after = _without_lost_starts(tab.notes, begin, end)
    notes = (*before, *placed.notes, *after)
    return replace(tab, song=sounded_song(tab.song, notes, tab.tuning), notes=notes)


def _ending_by(note: TabNote, end: float) -> TabNote:
    return replace(note, duration=min(note.duration, end - note.onset))


def _without_lost_starts(notes: Iterable[TabNote], begin: float, end: float) -> list[TabNote]:
    """Return the notes behind a place; one that was hammered from a note inside it is struck."""
    kept: list[TabNote] = []
    previous: dict[int, TabNote] = {}
    for note in notes:
        start = previous.get(note.string)
        if note.onset >= end:
            lost = not note.is_struck and (start is None or begin <= start.onset < end)
            kept.append(replace(note, left_hand="") if lost else note)
        previous[note.string] = note
    return kept


def _under_the_hand(tab: Tab, lick: Lick, window: Window, fit: LickFit) -> PlacedLick:
    """Finger the lick, and see how far the hand moves into it and out of it."""
    pitches = (lick.melody.pitches + fit.transposition).tolist()
    durations = lick.melody.durations.tolist()
    moments = [
        Moment(onset, duration, measure, (pitch,))
        for onset, duration, measure, pitch in zip(
            window.onsets.tolist(), durations, window.measures, pitches, strict=True
        )
    ]
    notes = _own_tab(lick, moments, tab.tuning)
    cautions: list[str] = []
    if not notes:
        chosen = fingering(moments, tab.tuning)
        cautions = strain(moments, chosen)
        notes = tuple(
            TabNote(m.onset, m.duration, *hands.places[0], finger=hands.fingers)
            for m, hands in zip(moments, chosen, strict=True)
        )
    length = window.end - window.begin
    before = [note for note in tab.notes if 0 < window.begin - note.onset <= length]
    after = [note for note in tab.notes if 0 <= note.onset - window.end + ROUNDING < length]
    moved = replace(
        fit,
        hand_in=_hand_moves(reversed(before), notes),
        hand_out=_hand_moves(reversed(notes), after),
        strain=tuple(cautions),
    )
    return PlacedLick(window, moved, notes)


def _own_tab(lick: Lick, moments: Sequence[Moment], tuning: BanjoTuning) -> tuple[TabNote, ...]:
    """Return the lick as its own source plays it, where that still sounds its notes here."""
    melody = lick.melody
    if not melody.strings.all():
        return ()
    strings: list[int] = melody.strings.tolist()
    fingers = right_hand([moment.onset for moment in moments], [(string,) for string in strings])
    notes = tuple(
        TabNote(moment.onset, moment.duration, string, fret, finger=finger)
        for moment, string, fret, finger in zip(
            moments, strings, melody.frets.tolist(), fingers, strict=True
        )
    )
    sounds = [
        tuning.pitch(note.string, note.fret) if tuning.has(note.string, note.fret) else None
        for note in notes
    ]
    return notes if sounds == [moment.pitches[0] for moment in moments] else ()


def _hand_moves(nearest_before: Iterable[TabNote], nearest_after: Iterable[TabNote]) -> int:
    """Return how many frets lie between two fretted notes beyond the reach of four fingers."""
    frets = [
        next((note.fret for note in notes if note.fret), None)
        for notes in (nearest_before, nearest_after)
    ]
    one, other = frets
    return 0 if one is None or other is None else max(abs(one - other) - FREE_REACH, 0)
