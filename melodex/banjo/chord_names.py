"""Chord symbols moved with the music."""

import re

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_CHORD = re.compile(r"([A-G])([#b]?)(m(?!aj)|)(.*)")


def transposed_chord(text: str, half_steps: int) -> str:
    """Move a chord symbol, and its bass, by half-steps; "N.C." stays."""
    if not half_steps:
        return text
    symbol, slash, bass = text.partition("/")
    return _moved(symbol, half_steps) + slash + _moved(bass, half_steps)


def _moved(symbol: str, half_steps: int) -> str:
    match = _CHORD.fullmatch(symbol)
    if match is None:
        return symbol
    step, accidental, minor, rest = match.groups()
    pitch_class = _STEPS[step] + {"#": 1, "b": -1, "": 0}[accidental] + half_steps
    return _NAMES[pitch_class % 12] + minor + rest
