"""Licks typed as text: note names, scale degrees or tab, with optional note values."""

import re
from collections.abc import Callable

import numpy as np

from melodex.errors import QueryError
from melodex.model.key import SHARPS_OF_MODE, signature_of
from melodex.model.lick import Lick
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE
from melodex.model.tuning import HIGHEST_FRET, OPEN_G, BanjoTuning, tuning_named
from melodex.parsing.lick_numbers import lick_from_notes

# Quarter notes of each note value. Common practice, no source.
NOTE_VALUES = {"w": 4.0, "h": 2.0, "q": 1.0, "e": 0.5, "s": 0.25, "t": 0.125}
LONGEST_VALUE = 64.0  # quarter notes
TONIC_OF_DEGREES = 55  # g3, the open third string: degree 1
_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {"#": 1, "♯": 1, "b": -1, "♭": -1}
_NOTE = re.compile(r"([A-Ga-g])([#b♯♭]*)(-?[0-9]{1,2})")
_DEGREE = re.compile(r"([#b♯♭]?)(1[0-5]|[1-9])([,']*)")
_FRET = re.compile(r"([1-5]):([0-9]{1,2})")
_VALUE = re.compile(r"([whqest])(\.{0,3})")
# Whole, decimal or a fraction; no exponents, which a few characters make as large as memory.
_QUARTER_NOTES = re.compile(r"[0-9]{1,6}(?:/[0-9]{1,6}|\.[0-9]{0,6})?|\.[0-9]{1,6}")
_LONGEST_SHOWN = 20  # characters of a word in an error


def lick_from_names(text: str) -> Lick:
    """Read a lick as note names.

    Parameters
    ----------
    text : str
        Notes with their octaves, C4 is middle C: "D4 E4:q G4:h.". A note value follows a colon: w h
        q e s t for whole to thirty-second, with dots, or a number of quarter notes ("1/3"). Without
        one a note is as long as the note before it; the first is an eighth.

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
    """Read a lick as scale degrees.

    Parameters
    ----------
    text : str
        "5, 6, 1 2 b3 5 8", values as in ``lick_from_names``. 1 to 7 lie within one octave; ``'``
        raises and ``,`` lowers by an octave, and 8 to 15 go on upwards. A plain degree is the
        mode's own; a sharp or flat that the mode already has is not applied twice, so that b3 is
        the minor third in major and in minor.
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


def lick_from_tab(text: str, tuning: str = OPEN_G.name) -> Lick:
    """Read a lick as strings and frets.

    A lick is what sounds: the same notes on other strings are the same lick.

    Parameters
    ----------
    text : str
        Strings and frets, "4:0 3:0:q 2:1", values as in ``lick_from_names``.
    tuning : str
        The name of a tuning or its five notes, "double C" or "gCGCD". On the short string frets
        are numbered as the neck is: 5:7 is two half-steps above open.

    Raises
    ------
    QueryError
        If a string, fret, value or tuning cannot be understood, or the neck has no such fret.

    Examples
    --------
    >>> lick_from_tab("4:0 3:0 2:1 5:0").melody.pitches.tolist()
    [50, 55, 60, 67]
    """
    tuned = tuning_named(tuning)
    return _lick_of_words(text, lambda word: _pitch_of_fret(word, tuned), colons_in_name=1)


def _lick_of_words(text: str, pitch_of: Callable[[str], int], *, colons_in_name: int = 0) -> Lick:
    pitches: list[int] = []
    durations: list[float] = []
    value = NOTE_VALUES["e"]
    for word in text.replace("|", " ").split():
        parts = word.split(":", colons_in_name + 1)
        value = _quarter_notes(parts.pop(), word) if len(parts) > colons_in_name + 1 else value
        pitches.append(pitch_of(":".join(parts)))
        durations.append(value)
    onsets = np.cumsum([0.0, *durations])[:-1]
    return lick_from_notes(pitches, onsets.tolist(), durations, came_from=text.strip())


def _pitch_of_name(word: str) -> int:
    match = _NOTE.fullmatch(word)
    if match is None:
        raise QueryError(
            f"'{_shown(word)}' is not a note.",
            "write a letter and an octave, C4 = middle C: D4 F#4 Bb3.",
        )
    letter, accidentals, octave = match.groups()
    shift = sum(_ACCIDENTALS[accidental] for accidental in accidentals)
    return _within_midi(12 * (int(octave) + 1) + _LETTERS[letter.upper()] + shift, word)


def _pitch_of_degree(word: str, mode: str) -> int:
    match = _DEGREE.fullmatch(word)
    if match is None:
        raise QueryError(
            f"'{_shown(word)}' is not a scale degree.",
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
    return _within_midi(pitch, word)


def _pitch_of_fret(word: str, tuning: BanjoTuning) -> int:
    match = _FRET.fullmatch(word)
    if match is None:
        raise QueryError(
            f"'{_shown(word)}' is not a string and fret.",
            "write them with a colon between: 4:0 3:2 2:1:q.",
        )
    string, fret = int(match[1]), int(match[2])
    if not tuning.has(string, fret):
        raise QueryError(
            f"String {string} has no fret {fret}.",
            f"give 0 (open) or a fret up to {HIGHEST_FRET - tuning.capo}; the short string begins "
            f"at fret {tuning.short_string_nut}.",
        )
    return _within_midi(tuning.pitch(string, fret), word)


def _within_midi(pitch: int, word: str) -> int:
    if not LOWEST_MIDI_NOTE <= pitch <= HIGHEST_MIDI_NOTE:
        raise QueryError(
            f"'{_shown(word)}' is outside MIDI's range of notes.", "give notes between C-1 and G9."
        )
    return pitch


def _quarter_notes(text: str, word: str) -> float:
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
        f"'{_shown(word)}' has no note value that can be read.",
        f"write w h q e s or t after the colon, with dots, or up to {LONGEST_VALUE:.0f} quarter "
        "notes: D4:q. E4:1/3.",
    )


def _shown(word: str) -> str:
    return word if len(word) <= _LONGEST_SHOWN else f"{word[:_LONGEST_SHOWN]}…"
