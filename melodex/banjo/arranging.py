"""A plain melody as a roll arrangement for a beginner.

Every melody note is struck where it stands; between them the strings of a roll fill the slots,
fretted as the chord wants where the hand can hold it, else open. A hammer-on or slide may lead
into a melody note from the fret below: the right hand strikes at the same time on the same string,
so the simple form, which leaves these out, has the same right hand.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from melodex.banjo.chord_shapes import ChordShape, shape_at
from melodex.banjo.fingering import fingering
from melodex.banjo.fingering_settings import FREE_REACH, FingeringCosts
from melodex.banjo.moments import moments_of
from melodex.banjo.open_g import in_open_g
from melodex.banjo.right_hand import right_hand
from melodex.banjo.roll_slots import ROLL_STRINGS, Slot, SlottedMeasure, slotted_measures
from melodex.banjo.sounded_song import sounded_song
from melodex.features.rolls import PINCH
from melodex.model.song import Song
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import OPEN_G, SHORT_STRING
from melodex.parsing.measures import ROUNDING

# The melody keeps off the short string, which drones.
MELODY_COSTS = FingeringCosts(aim=0, short_string=3.0)
# Usual ways into a string and fret: from which fret, and how. Common practice, no source.
APPROACHES = {
    (1, 2): (0, "hammer-on"), (2, 1): (0, "hammer-on"), (3, 2): (0, "hammer-on"),
    (4, 2): (0, "hammer-on"), (3, 4): (2, "slide"), (4, 5): (2, "slide"),
}  # fmt: skip
FEWEST_SLOTS = 2  # that a melody note with an approach lasts
# One approach in so many measures is enough for a beginner and leaves the line even, by
# which ``features.skeleton`` knows a roll and a search finds the melody inside.
MEASURES_AN_APPROACH = 8
_SPARE_STRINGS = (SHORT_STRING, 1, 2, 3)  # where a roll's own string is taken


@dataclass(frozen=True, slots=True)
class _Stroke:
    """One movement of the right hand."""

    onset: float  # quarter notes from the start
    places: tuple[tuple[int, int], ...]  # (string, fret) each
    is_melody: bool
    position: int  # of the left hand

    @property
    def strings(self) -> tuple[int, ...]:
        return tuple(string for string, _ in self.places)


def arrange(song: Song, *, roll: str | None = None, simple: bool = False) -> Tab:
    """Arrange a melody in rolls, in open G.

    Parameters
    ----------
    roll : str or None
        A name of ``ROLL_STRINGS``; None: in every measure the roll that most melody notes fall
        in with.
    simple : bool
        Without hammer-ons and slides.

    Returns
    -------
    Tab
        Its song has the notes of the arrangement; its remarks tell if the key was moved.

    Raises
    ------
    MelodyError
        If the song has no metre, or does not lie on the neck.
    """
    moved, remarks = in_open_g(song)
    measures = slotted_measures(moved)
    moments = moments_of(moved, OPEN_G)
    hands = fingering(moments, OPEN_G, MELODY_COSTS)
    melody = [
        _Stroke(moment.onset, hand.places, is_melody=True, position=hand.position)
        for moment, hand in zip(moments, hands, strict=True)
    ]
    end = moments[-1].onset + moments[-1].duration
    strokes: list[_Stroke] = []
    for measure in measures:
        shape = shape_at(moved, measure.onset, measure.end)
        strokes += _filled(_within(measure, melody, end), strokes[-1:], shape, roll)
    notes = _notes(strokes, end)
    if not simple:
        notes = _with_approaches(notes, _led_into(strokes, measures))
    title = f"{song.title} (arranged{' simply' if simple else ''})"
    sounded = sounded_song(replace(moved, title=title), notes, OPEN_G)
    return Tab(sounded, OPEN_G, tuple(notes), (*song.remarks, *remarks))


@dataclass(frozen=True, slots=True)
class _Frame:
    """A measure with its melody, and the slots between that are free."""

    measure: SlottedMeasure
    melody: Sequence[_Stroke]
    following: Sequence[_Stroke]  # the first melody stroke of the next measure, if any
    free: Sequence[Slot]


def _within(measure: SlottedMeasure, melody: Sequence[_Stroke], end: float) -> _Frame:
    """Cut the melody to a measure; a slot is free at least its own length from any melody note."""
    here = [m for m in melody if measure.onset - ROUNDING < m.onset < measure.end - ROUNDING]
    following = [m for m in melody if m.onset >= measure.end - ROUNDING][:1]
    clear = measure.slot_length - ROUNDING
    free = [
        slot
        for slot in measure.slots
        if melody[0].onset < slot.onset < end - ROUNDING
        and all(abs(slot.onset - stroke.onset) > clear for stroke in [*here, *following])
    ]
    return _Frame(measure, here, following, free)


def _filled(
    frame: _Frame, before: Sequence[_Stroke], shape: ChordShape, roll: str | None
) -> list[_Stroke]:
    """Put fillers between the melody notes of a measure."""
    pattern = ROLL_STRINGS[roll or _roll_that_fits(frame)]
    strokes = list(before)
    melody = [*frame.melody, *frame.following]
    places: list[Slot | _Stroke] = [*frame.free, *frame.melody]
    for slot in sorted(places, key=lambda each: each.onset):
        if isinstance(slot, _Stroke):
            strokes.append(slot)
            continue
        latest = strokes[-1]
        near = frame.measure.slot_length + ROUNDING
        taken = {
            string
            for stroke in [latest, *melody]
            if abs(stroke.onset - slot.onset) < near
            for string in stroke.strings
        }
        wanted, wanted_next = (pattern[(slot.place + n) % len(pattern)] for n in range(2))
        strings = _strings_to_fill(wanted, wanted_next, taken, shape)
        held = tuple((string, _held_fret(string, shape, latest.position)) for string in strings)
        if held:
            strokes.append(_Stroke(slot.onset, held, is_melody=False, position=latest.position))
    return strokes[len(before) :]


def _roll_that_fits(frame: _Frame) -> str:
    """Choose the roll in which the melody of a measure stands out best, of several the first.

    It does where its notes fall on the roll's own strings, and where between them the drone, not
    another string, falls on the beats.
    """

    def fit(kind: str) -> int:
        strings = ROLL_STRINGS[kind]
        on_its_strings = sum(
            stroke.strings[0] in strings[slot.place % len(strings)]
            for stroke in frame.melody
            for slot in frame.measure.slots
            if abs(slot.onset - stroke.onset) < ROUNDING
        )
        drones = sum(
            SHORT_STRING in strings[slot.place % len(strings)]
            for slot in frame.free
            if slot.place % 2 == 0
        )
        return on_its_strings + drones

    return max((kind for kind in ROLL_STRINGS if kind != PINCH), key=fit)


def _strings_to_fill(
    wanted: tuple[int, ...], wanted_next: tuple[int, ...], taken: set[int], shape: ChordShape
) -> tuple[int, ...]:
    """Return the roll's own strings; a single one that is taken is replaced.

    The drone or a chord tone comes first, and what the roll does not want next.
    """
    if len(wanted) != 1:
        return tuple(string for string in wanted if string not in taken)
    if wanted[0] not in taken:
        return wanted
    candidates = [string for string in _SPARE_STRINGS if string not in taken]
    return (min(candidates, key=lambda s: (not _is_consonant(s, shape), s in wanted_next)),)


def _is_consonant(string: int, shape: ChordShape) -> bool:
    if string == SHORT_STRING:
        return True  # the drone goes with everything
    return OPEN_G.pitch(string, shape.frets[string - 1]) % 12 in shape.pitch_classes


def _held_fret(string: int, shape: ChordShape, position: int) -> int:
    """Return the fret of a chord where the hand reaches it from its position, else 0."""
    if string == SHORT_STRING:
        return 0
    fret = shape.frets[string - 1]
    return fret if position <= fret <= position + FREE_REACH else 0


def _notes(strokes: Sequence[_Stroke], end: float) -> list[TabNote]:
    onsets = [stroke.onset for stroke in strokes]
    fingers = right_hand(onsets, [stroke.strings for stroke in strokes])
    return [
        TabNote(
            stroke.onset,
            following - stroke.onset,
            string,
            fret,
            finger=finger,
            is_melody=stroke.is_melody,
        )
        for stroke, letters, following in zip(strokes, fingers, [*onsets[1:], end], strict=True)
        for (string, fret), finger in sorted(zip(stroke.places, letters, strict=True))
    ]


def _led_into(strokes: Sequence[_Stroke], measures: Sequence[SlottedMeasure]) -> dict[float, float]:
    """Choose the melody notes to lead into: by onset, half the slot there."""
    chosen: dict[float, float] = {}
    for first in range(0, len(measures), MEASURES_AN_APPROACH):
        phrase = measures[first : first + MEASURES_AN_APPROACH]
        half, end = phrase[0].slot_length / 2, phrase[-1].end
        melody = [s for s in strokes if s.is_melody and phrase[0].onset <= s.onset < end]
        ends = [*(stroke.onset for stroke in melody), end][1:]
        for stroke, until in zip(melody, ends, strict=True):
            lasts_long = until - stroke.onset >= FEWEST_SLOTS * 2 * half - ROUNDING
            if stroke.places[0] in APPROACHES and lasts_long:
                chosen[stroke.onset] = half
                break
    return chosen


def _with_approaches(notes: Iterable[TabNote], halves: dict[float, float]) -> list[TabNote]:
    """Strike the fret below, from which the left hand sounds the melody note half a slot later."""
    led: list[TabNote] = []
    for note in notes:
        half = halves.get(note.onset)
        if half is None:
            led.append(note)
            continue
        fret, left_hand = APPROACHES[note.string, note.fret]
        led.append(replace(note, fret=fret, duration=half))
        led.append(
            TabNote(note.onset + half, note.duration - half, note.string, note.fret, left_hand)
        )
    return led
