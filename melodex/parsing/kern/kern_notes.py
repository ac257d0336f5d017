"""Parse tokens of **kern: notes, chords and rests."""

import re
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

# Source: the reference of the **kern representation, "Context dependencies": signifiers may come in
# any order, but the digits of a duration and its dots stay together, as do a pitch and its
# accidentals. A ratio ("3%2") is the extension for durations that no integer can express.
_DURATION = re.compile(r"(\d+)(?:%(\d+))?(\.*)")
_PITCH = re.compile(r"([a-gA-G])(\1*)(#{1,3}|-{1,3}|n)?")
_PITCH_CLASSES = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11}
_MIDDLE_C = 60
_ALTERATION = {"#": 1, "-": -1, "n": 0}

# Source: Huron, The Humdrum User Guide, chapter 6: 0 is a breve, 00 a long, 000 a maxima.
_LONG_DURATIONS = {"0": 8, "00": 16, "000": 32}
SHORTEST = 2048  # notes to a whole note; the shortest that common notation writes is the 1024th
_MOST_DOTS = 8
_LONGEST_TOKEN = 1000  # characters; the longest in music21's files has 19
UNSTATED_DURATION = Fraction(1)  # of a note without one: a quarter note, as in music21 10.5


class KernTone(NamedTuple):
    """One note of a token."""

    pitch: int  # MIDI note number, not yet checked against MIDI's range
    is_tied: bool  # to the next note


class KernToken(NamedTuple):
    """A note, chord or rest."""

    duration: Fraction  # quarter notes; 0 for grace notes and groupettos
    tones: tuple[KernTone, ...]  # lowest first; empty for a rest
    ends_phrase: bool
    states_duration: bool


@lru_cache(maxsize=4096)
def read_kern_token(text: str) -> KernToken | None:
    """Parse a data token of a **kern spine; None if it is not a note, chord or rest.

    Examples
    --------
    >>> read_kern_token("[8.ff#/").tones
    (KernTone(pitch=78, is_tied=True),)

    Source
    ------
    Huron, the reference of the **kern representation (The Humdrum Toolkit: Reference Manual, 1994,
    chapter 4). Notes of a chord are separated by spaces, and the first states the duration. A grace
    note ("q") has none; that of a groupetto ("Q") does not count towards its measure and is
    ignored. An appoggiatura ("P") is written as it is played.
    """
    if len(text) > _LONGEST_TOKEN:
        return None
    notes = text.split()
    sounding = [note for note in notes if "r" not in note]
    tones = [tone for note in sounding if (tone := _tone(note))]
    duration = _duration((sounding or notes or [""])[0])
    if duration is None or len(tones) < len(sounding):
        return None
    return KernToken(
        duration,
        tuple(sorted(tones)),
        ends_phrase="}" in text,
        states_duration=not duration or any(digit in text for digit in "0123456789"),
    )


def _tone(note: str) -> KernTone | None:
    pitches = _PITCH.findall(note)
    if len(pitches) != 1:
        return None
    letter, repeated, accidental = pitches[0]
    octaves = -1 - len(repeated) if letter.isupper() else len(repeated)
    alteration = sum(_ALTERATION[sign] for sign in accidental)
    pitch = _MIDDLE_C + 12 * octaves + _PITCH_CLASSES[letter.lower()] + alteration
    return KernTone(pitch, is_tied="[" in note or "_" in note)


def _duration(note: str) -> Fraction | None:
    if "q" in note or "Q" in note:
        return Fraction(0)
    durations = _DURATION.findall(note)
    if not durations and "r" not in note:
        return UNSTATED_DURATION
    return _stated_duration(*durations[0]) if len(durations) == 1 else None


def _stated_duration(digits: str, numerator: str, dots: str) -> Fraction | None:
    if max(len(digits), len(numerator)) > len(str(SHORTEST)) or len(dots) > _MOST_DOTS:
        return None
    if digits in _LONG_DURATIONS and not numerator:
        undotted = Fraction(_LONG_DURATIONS[digits])
    elif 0 < int(digits) <= SHORTEST:
        undotted = Fraction(4 * int(numerator or 1), int(digits))
    else:
        return None
    return undotted * (2 - Fraction(1, 2 ** len(dots)))
