"""Parse licks typed as note names or scale degrees, with optional note values."""

import re
from collections.abc import Callable, Sequence
from itertools import accumulate

from melodex.errors import QueryError
from melodex.model.key import SHARPS_OF_MODE, signature_of
from melodex.model.lick import Lick
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE
from melodex.parsing.lick_numbers import lick_from_notes

# Quarter notes of each note value. Common practice, no source.
NOTE_VALUES = {"w": 4.0, "h": 2.0, "q": 1.0, "e": 0.5, "s": 0.25, "t": 0.125}
FIRST_VALUE = NOTE_VALUES["e"]  # of the first note, if none is given
LONGEST_VALUE = 64.0  # quarter notes
TONIC_OF_DEGREES = 55  # degree 1: g3, the open third string
_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {"#": 1, "♯": 1, "b": -1, "♭": -1}
_NOTE = re.compile(r"([A-Ga-g])([#b♯♭]*)(-?[0-9]{1,2})")
_DEGREE = re.compile(r"([#b♯♭]?)(1[0-5]|[1-9])([,']*)")
_VALUE = re.compile(r"([whqest])(\.{0,3})")
# Integers, decimals or fractions; no exponents, which could make numbers of any size.
_QUARTER_NOTES = re.compile(r"[0-9]{1,6}(?:/[0-9]{1,6}|\.[0-9]{0,6})?|\.[0-9]{1,6}")
_LONGEST_SHOWN = 20  # characters of a word quoted in an error


def lick_from_names(text: str) -> Lick:
    """Parse a lick given as note names.

    Parameters
    ----------
    text : str
        Notes with their octaves, C4 is middle C: "D4 E4:q G4:h.". A note value follows a colon: w h
        q e s t for whole to thirty-second, with dots, or a number of quarter notes ("1/3"). A note
        without one is as long as the note before it; the first is an eighth.

    Raises
    ------
    QueryError
        If a note or value cannot be understood.

    Examples
    --------
    >>> lick_from_names("D4 E4:q G4:h.").melody.durations.tolist()
    [0.5, 1.0, 3.0]
    """
    return _lick_of_words(text, _pitch_of_name)


def lick_from_degrees(text: str, mode: str = "major") -> Lick:
    """Parse a lick given as scale degrees.

    Parameters
    ----------
    text : str
        "5, 6, 1 2 b3 5 8", values as in ``lick_from_names``. 1 to 7 are within one octave; ``'``
        raises and ``,`` lowers by an octave, and 8 to 15 are the octave above. A plain degree is
        the mode's own; a sharp or flat that the mode already has is not applied twice, so that b3
        is the minor third in major and in minor.
    mode : str
        "major", "minor", "dorian", "mixolydian" or another.

    Raises
    ------
    QueryError
        If a degree, value or mode cannot be understood.

    Examples
    --------
    >>> lick_from_degrees("1 2 b3 5").melody.pitches.tolist()
    [55, 57, 58, 62]
    """
    if mode not in SHARPS_OF_MODE:
        raise QueryError(
            f"There is no mode '{mode}'.", f"use one of {', '.join(sorted(SHARPS_OF_MODE))}."
        )
    return _lick_of_words(text, lambda word: _pitch_of_degree(word, mode))


def _lick_of_words(text: str, pitch_of: Callable[[str], int]) -> Lick:
    pitches: list[int] = []
    durations: list[float] = []
    value = FIRST_VALUE
    for word in words_of(text):
        name, colon, behind = word.partition(":")
        value = parse_note_value(behind, word) if colon else value
        pitches.append(pitch_of(name))
        durations.append(value)
    return lick_from_notes(pitches, onsets_of(durations), durations, came_from=text.strip())


def words_of(text: str) -> list[str]:
    """Return the words of a lick, without bar lines."""
    return text.replace("|", " ").split()


def onsets_of(durations: Sequence[float]) -> list[float]:
    """Return the onsets of consecutive notes, in quarter notes."""
    return [0.0, *accumulate(durations[:-1])] if durations else []


def _pitch_of_name(word: str) -> int:
    match = _NOTE.fullmatch(word)
    if match is None:
        raise QueryError(
            f"'{word_shown(word)}' is not a note.",
            "write a letter and an octave, C4 = middle C: D4 F#4 Bb3.",
        )
    letter, accidentals, octave = match.groups()
    shift = sum(_ACCIDENTALS[accidental] for accidental in accidentals)
    return within_midi(12 * (int(octave) + 1) + _LETTERS[letter.upper()] + shift, word)


def _pitch_of_degree(word: str, mode: str) -> int:
    match = _DEGREE.fullmatch(word)
    if match is None:
        raise QueryError(
            f"'{word_shown(word)}' is not a scale degree.",
            "write 1 to 7 with b or # before and ' (higher) or , (lower) behind: 5, 1 2 b3 5 1'.",
        )
    accidental, degree, octave_marks = match.groups()
    octave, step = divmod(int(degree) - 1, 7)
    letter = "CDEFGAB"[step]
    alteration = dict(signature_of("C", mode)).get(letter, 0)
    if accidental and _ACCIDENTALS[accidental] != alteration:
        alteration += _ACCIDENTALS[accidental]
    octave += octave_marks.count("'") - octave_marks.count(",")
    pitch = TONIC_OF_DEGREES + 12 * octave + _LETTERS[letter] + alteration
    return within_midi(pitch, word)


def within_midi(pitch: int, word: str) -> int:
    """Return a pitch if it is a MIDI note number.

    Raises
    ------
    QueryError
        If it is out of range; the message names the word.
    """
    if not LOWEST_MIDI_NOTE <= pitch <= HIGHEST_MIDI_NOTE:
        raise QueryError(
            f"'{word_shown(word)}' is outside MIDI's range of notes.",
            "give notes between C-1 and G9.",
        )
    return pitch


def parse_note_value(text: str, word: str) -> float:
    """Parse a note value, "h." or "1/3"; return quarter notes.

    Raises
    ------
    QueryError
        If the text is not a note value; the message names the word that contains it.
    """
    letters = _VALUE.fullmatch(text)
    if letters is not None:
        dots = len(letters[2])
        return NOTE_VALUES[letters[1]] * (2 - 0.5**dots)
    above, _, below = text.partition("/")
    if _QUARTER_NOTES.fullmatch(text) and float(below or 1):
        value = float(above) / float(below or 1)
        if 0 < value <= LONGEST_VALUE:
            return value
    raise QueryError(
        f"'{word_shown(word)}' has no note value that can be read.",
        f"write w h q e s or t after the colon, with dots, or up to {LONGEST_VALUE:.0f} quarter "
        "notes: D4:q. E4:1/3.",
    )


def word_shown(word: str) -> str:
    """Return a word as quoted in a message; a long word is truncated."""
    return word if len(word) <= _LONGEST_SHOWN else f"{word[:_LONGEST_SHOWN]}…"
