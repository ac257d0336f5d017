"""The body of an ABC tune: read each line into its voice."""

import re
from collections.abc import Callable, Iterable
from typing import ClassVar

from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_fields import parse_metre, parse_tempo, parse_unit_length
from melodex.parsing.abc.abc_header import (
    LONGEST_INSTRUCTION,
    AbcLine,
    Header,
    reach_of_accidentals,
)
from melodex.parsing.abc.abc_key import Staff, parse_key, parse_staff
from melodex.parsing.abc.abc_layout import measure_reached
from melodex.parsing.abc.abc_macros import expand
from melodex.parsing.abc.abc_pitch import PitchReader
from melodex.parsing.abc.abc_rhythm import RhythmReader
from melodex.parsing.abc.abc_scanner import tokens_of
from melodex.parsing.abc.abc_voice import VoiceReader
from melodex.parsing.part_choice import choice_remarks

_VOICE = re.compile(r"\s*(\S{0,20})\S*(.*)", re.DOTALL)  # 20 characters are significant; section 7
_MOST_VOICES = 64
_MOST_REMARKS = 20
OPEN_FIELD = "The field {} is not closed with ]; it was read up to the next space or bar line."
# Names of melody parts, and clefs seldom used for a melody (common practice, no source).
_MELODY_NAME = re.compile(r"melody|lead|tune|solo|air\b", re.IGNORECASE)
_LOW_CLEF = re.compile(r"(?<![\w.])(?:bass|perc)", re.IGNORECASE)


class TuneReader:
    """Reads the lines of one tune body into its voices.

    Parameters
    ----------
    header : Header
    is_strict : bool
        Whether w: fields continue after the notes that have words, as in ABC 2.1, or start at the
        line of music above, as in earlier versions (section 10.6).
    line_is_phrase : bool
        Whether a line of music is a phrase.
    """

    def __init__(self, header: Header, *, is_strict: bool, line_is_phrase: bool) -> None:
        self.tempo = header.tempo
        self.remarks: list[str] = []
        self._header = header
        self._reach = header.reach
        self._is_strict, self._line_is_phrase = is_strict, line_is_phrase
        self._specifiers = dict(_name_and_specifiers(text) for text in header.voices)
        self._voices: dict[str, VoiceReader] = {}
        self._voice = self._voice_named(next(iter(self._specifiers), ""))
        self._is_continued = False  # the previous line of music ends with a backslash
        self._has_words = False  # a w: field followed the latest line of music

    def read(self, lines: Iterable[AbcLine]) -> None:
        """Read the lines after the header.

        Raises
        ------
        AbcError
            At a place that cannot be interpreted.
        """
        for line in lines:
            try:
                if line.field:
                    self._read_field(line.field, line.text)
                else:
                    self._read_music(line.text)
            except AbcError as error:
                error.place(line.number, None if line.field else measure_reached(self._voice))
                raise

    def melody_voice(self) -> VoiceReader:
        """Return the voice that carries the melody.

        That is the first voice whose name says so; else the first that is not in a bass or
        percussion clef; else the first with notes.

        Raises
        ------
        AbcError
            If no voice has a note.
        """
        sounding = {name: voice for name, voice in self._voices.items() if voice.note_count}
        if not sounding:
            rested = any(voice.time for voice in self._voices.values())
            raise AbcError("it has only rests" if rested else "it has no notes")
        named = [
            name
            for name in sounding
            if _MELODY_NAME.search(f"{name} {self._specifiers.get(name, '')}")
        ]
        high = [name for name in sounding if not _LOW_CLEF.search(self._specifiers.get(name, ""))]
        chosen = next(iter(named or high or sounding))
        names = list(sounding)
        self.remarks += choice_remarks("voice", names, names.index(chosen))
        return sounding[chosen]

    def _read_music(self, text: str) -> None:
        if self._header.macros:
            text = expand(text, self._header.macros)
        if not self._is_continued:
            self._voice.begin_line()
        tokens = tokens_of(text)
        while field := self._voice.read(tokens):
            if not field.is_closed:
                self._remark(OPEN_FIELD.format(f"[{field.letter}:{field.text}"))
            if field.is_closed or field.text:
                self._read_field(field.letter, field.text)
        self._is_continued = text.endswith("\\")
        self._has_words = False
        if self._line_is_phrase and not self._is_continued:
            self._voice.end_phrase()

    def _read_field(self, letter: str, text: str) -> None:
        read = self._reader_of_field.get(letter)
        if read:
            read(self, text if letter == "w" else text[:LONGEST_INSTRUCTION])

    def _remark(self, *remarks: str) -> None:
        """Add remarks, each only once."""
        for remark in remarks:
            if remark not in self.remarks and len(self.remarks) < _MOST_REMARKS:
                self.remarks.append(remark)

    def _read_key(self, text: str) -> None:
        field = parse_key(text)
        self._remark(*field.remarks)
        if field.key or field.no_key:
            self._voice.pitch.set_key(field.key)
        if field.staff:
            self._voice.pitch.set_octaves(field.staff.octaves)

    def _read_metre(self, text: str) -> None:
        field = parse_metre(text)
        self._remark(*filter(None, [field.remark]))
        self._voice.set_metre(field.metre)

    def _read_unit(self, text: str) -> None:
        self._voice.rhythm.set_unit(parse_unit_length(text))

    def _read_tempo(self, text: str) -> None:
        if self.tempo is None:
            self.tempo = parse_tempo(text, self._header.unit)

    def _read_part(self, text: str) -> None:
        self._voice.parts.append((self._voice.time, text.strip()))

    def _read_words(self, text: str) -> None:
        if not self._has_words:  # otherwise it is a second verse
            self._voice.add_lyrics(text, from_latest_line=not self._is_strict)
        self._has_words = True

    def _read_instruction(self, text: str) -> None:
        reach = reach_of_accidentals([text])
        if reach:
            self._reach = reach
            self._voice.pitch.set_reach(reach)

    def _read_voice(self, text: str) -> None:
        name, specifiers = _name_and_specifiers(text)
        if name in self._voices and specifiers:
            staff = parse_staff(specifiers)
            if staff:
                self._voices[name].pitch.set_octaves(staff.octaves)
        known = self._specifiers.get(name, "")
        self._specifiers[name] = f"{known} {specifiers}"[:LONGEST_INSTRUCTION]
        self._voice = self._voice_named(name)

    def _voice_named(self, name: str) -> VoiceReader:
        """Return the voice with a name; a new voice starts with the values of the header."""
        if name not in self._voices:
            if len(self._voices) >= _MOST_VOICES:
                raise AbcError(f"more than {_MOST_VOICES} voices")
            header = self._header
            staff = parse_staff(self._specifiers.get(name, "")) or header.key.staff or Staff()
            if staff.half_steps:
                self.remarks.append(
                    f"The melody is kept as written; it sounds {staff.half_steps:+d} half-steps "
                    "away (transpose=)."
                )
            self._voices[name] = VoiceReader(
                PitchReader(header.key.key, staff.octaves, self._reach),
                RhythmReader(header.unit),
                header.metre,
            )
        return self._voices[name]

    _reader_of_field: ClassVar[dict[str, Callable[..., None]]] = {
        "I": _read_instruction,
        "K": _read_key,
        "L": _read_unit,
        "M": _read_metre,
        "P": _read_part,
        "Q": _read_tempo,
        "V": _read_voice,
        "w": _read_words,
    }


def _name_and_specifiers(text: str) -> tuple[str, str]:
    match = _VOICE.match(text)
    return (match[1], match[2].strip()) if match else ("", "")
