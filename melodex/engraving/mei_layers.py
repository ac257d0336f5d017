"""Write one measure of a staff or of a tab as an MEI layer: notes, rests, ties, tuplets, beams."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement

from melodex.model.key import Key
from melodex.notation.note_spelling import Accidentals, SpelledPitch, spelled
from melodex.notation.note_values import NoteValue
from melodex.notation.written_measures import EngravedMeasure, Sound
from melodex.notation.written_rhythm import PLAIN, Piece, WrittenRhythm, beamed

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_VALUES = {"whole": "1", "half": "2", "quarter": "4", "eighth": "8"}  # "16th" is "16"
_ACCIDENTALS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
_SOUNDING = _ACCIDENTALS | {2: "ss"}  # accidentals that sound without being written
_TIES = {(False, True): "i", (True, True): "m", (True, False): "t"}  # from before, to next


class HeadMark(NamedTuple):
    """How a note of the melody is marked."""

    kinds: str  # CSS classes of its phrase
    differs: bool


def mark_of(sound: Sound, place: int, marks: Mapping[int, HeadMark]) -> HeadMark | None:
    """Return the mark of any of the notes that sound together; None if they have none.

    Notes that sound with a marked note, such as the drone of a pinch, belong to its phrase too, but
    are not shown as differing.

    Parameters
    ----------
    marks : mapping
        Marks of notes, by index in the melody.
    """
    numbers = [head.note for head in sound.heads if head.note is not None]
    mark = marks.get(numbers[0]) if numbers else None
    if mark is None or sound.heads[place].note is not None:
        return mark
    return mark._replace(differs=False)


class Voice:
    """The content of one staff, and the XML ids written for it so far."""

    def __init__(
        self, name: str, sounds: Sequence[Sound], measures: Sequence[EngravedMeasure]
    ) -> None:
        self.sounds = sounds
        self.rhythms = [measure.rhythm(sounds) for measure in measures]
        # By indices of sound and head; several if the sound is written as tied pieces.
        self.ids: defaultdict[tuple[int, int], list[str]] = defaultdict(list)
        self.grace_ids: dict[int, list[str]] = {}  # of the grace notes before each sound
        self._name = name
        self._pieces_to_come = Counter(
            piece.sound for rhythm in self.rhythms for run in rhythm.runs for piece in run.pieces
        )

    def goes_on(self, sound: int) -> bool:
        """Return whether a sound has a further piece; must be called once for each piece."""
        self._pieces_to_come[sound] -= 1
        return self._pieces_to_come[sound] > 0

    def name_graces(self, sound: int) -> list[str]:
        """Name the grace notes before a sound."""
        ids = [f"{self._name}{sound}-grace{n}" for n in range(len(self.sounds[sound].graces))]
        self.grace_ids[sound] = ids
        return ids

    def new_id(self, sound: int, head: int) -> tuple[str, bool]:
        """Return an id for one more piece of a head, and whether it is tied to one before it."""
        ids = self.ids[sound, head]
        ids.append(f"{self._name}{sound}-{head}-{len(ids)}")
        return ids[-1], len(ids) > 1


def add_staff_layer(
    layer: Element,
    voice: Voice,
    rhythm: WrittenRhythm,
    measure: EngravedMeasure,
    key: Key | None,
    marks: Mapping[int, HeadMark],
) -> None:
    """Write a measure of notes.

    Parameters
    ----------
    marks : mapping
        By index of the note in the melody.
    """
    if _is_silent(rhythm) and measure.span.length == measure.beats.length:
        SubElement(layer, "mRest")
        return
    spelling = _Spelling(key, Accidentals(key))
    for run, parent in _parents(layer, rhythm, {}):
        for group in beamed(run, measure.beats):
            holder = parent
            for piece in group:
                if piece.sound is None:
                    SubElement(holder, "rest", length_of(piece.value))
                    continue
                if not voice.ids[piece.sound, 0]:
                    _add_graces(holder, voice, piece.sound, spelling)
                if piece is group[0] and len(group) > 1:  # grace notes before it stay outside
                    holder = SubElement(parent, "beam")
                _add_notes(holder, voice, piece, spelling, marks)


def add_tab_layer(
    layer: Element,
    voice: Voice,
    rhythm: WrittenRhythm,
    marks: Mapping[tuple[int, int], HeadMark],
) -> None:
    """Write a measure of strings and frets; held notes and rests are left empty.

    Parameters
    ----------
    marks : mapping
        By indices of the sound and of its head.
    """
    hidden = {"num.visible": "false", "bracket.visible": "false"}
    for run, parent in _parents(layer, rhythm, hidden):
        for piece in run:
            if piece.sound is None or voice.ids[piece.sound, 0]:
                SubElement(parent, "space", length_of(piece.value))
                continue
            group = SubElement(parent, "tabGrp", length_of(piece.value))
            for number, head in enumerate(voice.sounds[piece.sound].heads):
                if head.on_string is None:
                    continue
                note = SubElement(group, "note", {XML_ID: voice.new_id(piece.sound, number)[0]})
                note.set("tab.course", str(head.on_string.string))
                note.set("tab.fret", str(head.on_string.fret))
                _add_mark(note, marks.get((piece.sound, number)))


def _parents(
    layer: Element, rhythm: WrittenRhythm, look: Mapping[str, str]
) -> Iterator[tuple[tuple[Piece, ...], Element]]:
    """Yield pieces, and the tuplet or layer that contains them."""
    for run in rhythm.runs:
        if run.tuplet == PLAIN:
            yield run.pieces, layer
        else:
            num, numbase = map(str, run.tuplet)
            yield run.pieces, SubElement(layer, "tuplet", {"num": num, "numbase": numbase, **look})


def length_of(value: NoteValue) -> dict[str, str]:
    """Return the attributes for the length of a note or rest."""
    dots = {"dots": str(value.dots)} if value.dots else {}
    return {"dur": _VALUES.get(value.name, value.name.rstrip("nrdth"))} | dots


def _is_silent(rhythm: WrittenRhythm) -> bool:
    return all(piece.sound is None for run in rhythm.runs for piece in run.pieces)


class _Spelling(NamedTuple):
    key: Key | None
    accidentals: Accidentals


def _add_notes(
    parent: Element,
    voice: Voice,
    piece: Piece,
    spelling: _Spelling,
    marks: Mapping[int, HeadMark],
) -> None:
    number = piece.sound or 0
    sound = voice.sounds[number]
    together = len(sound.heads) > 1
    holder = SubElement(parent, "chord", length_of(piece.value)) if together else parent
    goes_on = voice.goes_on(number)
    for place, head in enumerate(sound.heads):
        note_id, is_tied = voice.new_id(number, place)
        note = SubElement(holder, "note", {XML_ID: note_id})
        if not together:
            note.attrib.update(length_of(piece.value))
        _add_pitch(note, spelled(head.pitch, spelling.key), spelling.accidentals, is_tied=is_tied)
        tie = _TIES.get((is_tied, goes_on))
        if tie:
            note.set("tie", tie)
        _add_mark(note, mark_of(sound, place, marks))


def _add_graces(parent: Element, voice: Voice, sound: int, spelling: _Spelling) -> None:
    pitches = voice.sounds[sound].graces
    if not pitches:
        return
    several = len(pitches) > 1
    group = SubElement(parent, "graceGrp", {"grace": "unacc"})
    holder = SubElement(group, "beam") if several else group
    value = {"grace": "unacc", "dur": "16" if several else "8"}
    for name, pitch in zip(voice.name_graces(sound), pitches, strict=True):
        note = SubElement(holder, "note", {XML_ID: name, **value})
        _add_pitch(note, spelled(pitch, spelling.key), spelling.accidentals, is_tied=False)


def _add_pitch(
    note: Element, pitch: SpelledPitch, accidentals: Accidentals, *, is_tied: bool
) -> None:
    note.set("pname", pitch.letter.lower())
    note.set("oct", str(pitch.octave))
    if not is_tied and accidentals.must_show(pitch):
        note.set("accid", _ACCIDENTALS[pitch.half_steps])
    elif pitch.half_steps:
        note.set("accid.ges", _SOUNDING[pitch.half_steps])


def _add_mark(note: Element, mark: HeadMark | None) -> None:
    if mark is None:
        return
    note.set("type", f"{mark.kinds} differs" if mark.differs else mark.kinds)
    if mark.differs and "tab.fret" not in note.attrib:
        note.set("head.shape", "diamond")
