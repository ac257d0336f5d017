"""The letter and accidental of a MIDI note, and when the accidental is written."""

from typing import NamedTuple

from melodex.model.key import Key

_LETTERS = "FCGDAEB"  # in fifths; F is 1 below C
_NATURALS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
# From three fifths below the major key of the signature to eight above: in G major from B flat to D
# sharp, in D minor from E flat to C sharp. Common practice, no source.
_LOWEST_FIFTH = -3
_OCTAVE, _FIFTH = 12, 7


class SpelledPitch(NamedTuple):
    """A written pitch: C4 is middle C."""

    letter: str
    half_steps: int  # effect of its accidental, from -2 to 2
    octave: int


def spelled(pitch: int, key: Key | None = None) -> SpelledPitch:
    """Return a MIDI note as spelled in a key, or close to it.

    Examples
    --------
    >>> from melodex.model.key import signature_of
    >>> spelled(61, Key("D", "minor", signature_of("D", "minor")))
    SpelledPitch(letter='C', half_steps=1, octave=4)
    """
    signature = key.signature if key else ()
    for letter, half_steps in signature:  # includes notes that no major key has
        if (_NATURALS[letter] + half_steps - pitch) % _OCTAVE == 0:
            return _in_octave(letter, half_steps, pitch)
    fifths = max(-7, min(7, sum(half_steps for _, half_steps in signature)))
    lowest = fifths + _LOWEST_FIFTH
    fifth = lowest + (pitch * _FIFTH - lowest) % _OCTAVE
    half_steps, place = divmod(fifth + 1, len(_LETTERS))
    return _in_octave(_LETTERS[place], half_steps, pitch)


def _in_octave(letter: str, half_steps: int, pitch: int) -> SpelledPitch:
    octave = (pitch - half_steps - _NATURALS[letter]) // _OCTAVE - 1
    return SpelledPitch(letter, half_steps, octave)


class Accidentals:
    """The accidentals in force in a measure: those of the key, then those written."""

    def __init__(self, key: Key | None) -> None:
        self._signature = dict(key.signature) if key else {}
        self._written: dict[tuple[str, int], int] = {}

    def must_show(self, note: SpelledPitch) -> bool:
        """Return whether a note's accidental must be written, and record that it was."""
        place = note.letter, note.octave
        held = self._written.get(place, self._signature.get(note.letter, 0))
        self._written[place] = note.half_steps
        return held != note.half_steps
