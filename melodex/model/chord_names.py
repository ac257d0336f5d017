"""Names of chords, and their transposition."""

import re

PITCH_CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_SIGNS = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}
_SYMBOL = re.compile("([A-G])([#b♯♭]?)(.*)", re.DOTALL)


def transposed_chord(text: str, half_steps: int) -> str:
    """Transpose a chord symbol and its bass by half-steps; text that is not a chord stays.

    Examples
    --------
    >>> transposed_chord("D7/F#", -2), transposed_chord("N.C.", -2)
    ('C7/E', 'N.C.')
    """
    if not half_steps:
        return text
    return "/".join(_moved(symbol.strip(), half_steps) for symbol in text.split("/"))


def _moved(symbol: str, half_steps: int) -> str:
    match = _SYMBOL.fullmatch(symbol)
    if match is None:
        return symbol
    root = PITCH_CLASSES[match[1]] + _SIGNS[match[2]] + half_steps
    return ROOTS[root % len(ROOTS)] + match[3]
