"""What a pair of hands would say of a tab: a checker that shares no code with the arranger.

It reads nothing but the notes, the chords and the bar lines of a finished tab, so that it judges
whatever wrote them.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from melodex.model.song import ChordSymbol, Song
from melodex.model.tablature import Tab, TabNote

EIGHTH = 0.5  # quarter notes
SAME_TIME = 1e-6  # quarter notes
NOTES_IN_A_ROLL = 8
MOST_MELODY_NOTES = 3  # of a measure that leaves room for a roll
_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SYMBOL = re.compile(r"([A-G])([#b]?)(m(?!aj)|min|-)?(7)?")
_MOVED = re.compile(r"Moved (up|down) by (\d+) half-step")
_HAND = {1: "M", 2: "I", 3: "TI", 4: "T", 5: "T"}  # common practice, no source
# The fingers of each roll's first seven notes; the eighth leads on. Common practice, no source.
_ROLLS = {
    "forward": ("TIMTIMT", "IMTIMTI", "MTIMTIM"),
    "backward": ("MITMITM", "ITMITMI", "TMITMIT"),
    "forward-reverse": ("TIMTMIT",),
    "alternating-thumb": ("TITMTIT",),
}
# The same of a waltz or a jig: five notes, and the sixth leads on.
_SHORT_ROLLS = {
    "forward": ("TIMTI", "IMTIM", "MTIMT"),
    "backward": ("MITMI", "ITMIT", "TMITM"),
    "forward-reverse": ("TIMTM",),
    "alternating-thumb": ("TITMT",),
}
NOTES_IN_A_SHORT_ROLL = 6
MOST_MELODY_NOTES_OF_SIX = 2


@dataclass(frozen=True, slots=True)
class Struck:
    """What the right hand strikes at one moment."""

    onset: float  # quarter notes
    notes: tuple[TabNote, ...]
    melody: tuple[TabNote, ...]  # those of the notes that are the melody's

    @property
    def strings(self) -> set[int]:
        """The strings that are struck."""
        return {note.string for note in self.notes}

    @property
    def fingers(self) -> set[str]:
        """The fingers that strike."""
        return {note.finger for note in self.notes}

    @property
    def melody_strings(self) -> set[int]:
        """The strings of the melody."""
        return {note.string for note in self.melody}

    @property
    def melody_fingers(self) -> set[str]:
        """The fingers that strike the melody."""
        return {note.finger for note in self.melody}


@dataclass(frozen=True, slots=True)
class Counts:
    """What was counted in one arrangement or in several."""

    pairs: int = 0  # of strokes no more than an eighth note apart
    same_finger: int = 0
    same_finger_by_filler: int = 0
    same_string: int = 0
    same_string_by_filler: int = 0
    fillers: int = 0
    half_step_fillers: int = 0  # of these, a half-step from a tone of the chord that sounds
    half_step_drones: int = 0  # of these, open short strings
    melody_notes: int = 0
    melody_lost: int = 0  # of these, not sounded at their own time
    roomy_measures: int = 0  # of eight eighths with at most three melody notes
    rolls_heard: int = 0  # of these, with the roll that was named
    short_roomy_measures: int = 0  # of six eighths with at most two melody notes
    short_rolls_heard: int = 0  # of these, with the roll that was named

    def __add__(self, other: "Counts") -> "Counts":
        return Counts(*(getattr(self, n) + getattr(other, n) for n in self.__slots__))


def counts_of(song: Song, tab: Tab, roll: str | None = None) -> Counts:
    """Count what the hands do in an arrangement.

    Parameters
    ----------
    song : Song
        The plain melody.
    tab : Tab
        Its arrangement.
    roll : str or None
        The roll that was named for it.
    """
    shift, later = stated_shift(tab), delay_of(song, tab)
    melody = {
        round(onset + later, 6): pitch + shift
        for onset, pitch in zip(
            song.melody.onsets.tolist(), song.melody.pitches.tolist(), strict=True
        )
    }
    strokes = list(strokes_of(tab, melody))
    pairs = [(a, b) for a, b in pairwise(strokes) if b.onset - a.onset <= EIGHTH + SAME_TIME]
    by_finger = [(a, b) for a, b in pairs if a.fingers & b.fingers]
    by_string = [(a, b) for a, b in pairs if a.strings & b.strings]
    fillers = [note for note in tab.notes if melody.get(round(note.onset, 6)) != tab.pitch(note)]
    clashes = [note for note in fillers if _clashes(tab, note)]
    sounding = {(round(note.onset, 6), tab.pitch(note)) for note in tab.notes}
    roomy = list(_roomy_measures(tab, melody, NOTES_IN_A_ROLL, MOST_MELODY_NOTES))
    short = list(_roomy_measures(tab, melody, NOTES_IN_A_SHORT_ROLL, MOST_MELODY_NOTES_OF_SIX))
    return Counts(
        pairs=len(pairs),
        same_finger=len(by_finger),
        same_finger_by_filler=sum(
            a.fingers & b.fingers != a.melody_fingers & b.melody_fingers for a, b in by_finger
        ),
        same_string=len(by_string),
        same_string_by_filler=sum(
            a.strings & b.strings != a.melody_strings & b.melody_strings for a, b in by_string
        ),
        fillers=len(fillers),
        half_step_fillers=len(clashes),
        half_step_drones=sum(note.string == 5 and not note.fret for note in clashes),
        melody_notes=len(melody),
        melody_lost=sum(note not in sounding for note in melody.items()),
        roomy_measures=len(roomy),
        rolls_heard=sum(roll is not None and is_heard(struck, roll) for struck in roomy),
        short_roomy_measures=len(short),
        short_rolls_heard=sum(roll is not None and is_heard(struck, roll) for struck in short),
    )


@dataclass(frozen=True, slots=True)
class Difficulty:
    """How much a learner has to do."""

    measures: int = 0
    notes: int = 0
    left_hand_moves: int = 0  # frets that are not among those stopped last
    changes_of_roll: int = 0  # from one roll that is heard to another
    slurs: int = 0  # notes that the left hand sounds by itself
    new_right_hands: int = 0  # measures whose right hand differs from that of the one before

    def __add__(self, other: "Difficulty") -> "Difficulty":
        return Difficulty(*(getattr(self, n) + getattr(other, n) for n in self.__slots__))


def difficulty_of(tab: Tab) -> Difficulty:
    """Count what a learner has to do in an arrangement."""
    stopped: set[tuple[int, int]] = set()
    moves = 0
    for _, together in groupby(tab.notes, key=lambda note: note.onset):
        here = {(note.string, note.fret) for note in together if note.fret}
        moves += len(here - stopped)
        stopped = here or stopped
    lines = [*tab.song.measures.onsets.tolist(), float(tab.song.sections.max())]
    struck = [note for note in tab.notes if not note.left_hand]
    heard: list[str] = []
    right_hands: list[set[tuple[float, str]]] = []
    for begin, end in pairwise(lines):
        within = [n for n in struck if begin - SAME_TIME <= n.onset < end - SAME_TIME]
        heard += [roll for roll in (*_ROLLS, "pinch") if within and is_heard(within, roll)][:1]
        right_hands.append({(round(note.onset - begin, 4), note.finger) for note in within})
    return Difficulty(
        measures=len(lines) - 1,
        notes=len(tab.notes),
        left_hand_moves=moves,
        changes_of_roll=sum(one != other for one, other in pairwise(heard)),
        slurs=len(tab.notes) - len(struck),
        new_right_hands=sum(one != other for one, other in pairwise(right_hands)),
    )


def stated_shift(tab: Tab) -> int:
    """Return the half-steps by which an arrangement says that it moved the melody."""
    moves = [match for match in map(_MOVED.match, tab.remarks) if match]
    return sum(int(move[2]) * (1 if move[1] == "up" else -1) for move in moves)


def delay_of(song: Song, tab: Tab) -> float:
    """Return by how many quarter notes an opening before the tune delays it."""
    first = tab.song.measures.numbers.tolist().index(int(song.measures.numbers[0]))
    return float(tab.song.measures.onsets[first] - song.measures.onsets[0])


def strokes_of(tab: Tab, melody: dict[float, int]) -> Iterator[Struck]:
    """Gather what is struck together; what the left hand sounds alone is not."""
    struck = sorted((n for n in tab.notes if not n.left_hand), key=lambda n: (n.onset, n.string))
    for onset, together in groupby(struck, key=lambda note: note.onset):
        notes = tuple(together)
        of_melody = (note for note in notes if melody.get(round(onset, 6)) == tab.pitch(note))
        yield Struck(onset, notes, tuple(of_melody))


def pitch_classes(chord: str) -> set[int]:
    """Spell a chord symbol: triad, and the seventh where it names one; empty for no chord."""
    match = _SYMBOL.match(chord)
    if match is None:
        return set()
    letter, accidental, minor, seventh = match.groups()
    root = _LETTERS[letter] + {"#": 1, "b": -1}.get(accidental, 0)
    steps = [0, 3 if minor else 4, 7, *([10] if seventh else [])]
    return {(root + step) % 12 for step in steps}


def chord_at(chords: Sequence[ChordSymbol], onset: float) -> str:
    """Return the chord that holds at a time; "" before the first."""
    held = [chord.text for chord in chords if chord.onset <= onset + SAME_TIME]
    return held[-1] if held else ""


def is_heard(struck: Sequence[TabNote], roll: str) -> bool:
    """Whether a measure's struck notes are a roll; one of a pinch's notes is enough for it."""
    moments = [(at, list(notes)) for at, notes in groupby(struck, key=lambda note: note.onset)]
    if roll == "pinch":
        return 2 * sum(len(notes) > 1 for _, notes in moments) >= len(moments) > 0
    steps = [later - earlier for (earlier, _), (later, _) in pairwise(moments)]
    rolls = {NOTES_IN_A_ROLL: _ROLLS, NOTES_IN_A_SHORT_ROLL: _SHORT_ROLLS}.get(len(moments))
    if rolls is None or max(steps) - min(steps) > SAME_TIME:
        return False
    for third in _HAND[3]:
        hand = _HAND | {3: third}
        fingers = [{hand[note.string] for note in notes} for _, notes in moments]
        for pattern in rolls[roll]:
            if all(finger in at for finger, at in zip(pattern, fingers, strict=False)):
                return True
    return False


def _roomy_measures(
    tab: Tab, melody: Iterable[float], eighths: int, most: int
) -> Iterator[list[TabNote]]:
    """List the struck notes of each measure of so many eighths that a roll has room in."""
    lines = [*tab.song.measures.onsets.tolist(), float(tab.song.sections.max())]
    for begin, end in pairwise(lines):
        if abs(end - begin - eighths * EIGHTH) > SAME_TIME:
            continue
        here = [onset for onset in melody if begin - SAME_TIME <= onset < end - SAME_TIME]
        if 0 < len(here) <= most:
            yield [
                note
                for note in tab.notes
                if not note.left_hand and begin - SAME_TIME <= note.onset < end - SAME_TIME
            ]


def _clashes(tab: Tab, note: TabNote) -> bool:
    tones = pitch_classes(chord_at(tab.song.chords, note.onset))
    sounded = tab.pitch(note) % 12
    return sounded not in tones and bool({(sounded + 1) % 12, (sounded - 1) % 12} & tones)
