r"""w: fields of ABC: align sung syllables with notes."""

import re
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

from melodex.parsing.abc.abc_text import clean_text

# A control character, or a syllable with its hyphen. Source: ABC 2.1, section 5.1. "\-" is a hyphen
# inside a syllable; any other hyphen that does not end a syllable counts as a note.
_PIECE = re.compile(r"[*_|-]|(?P<syllable>(?:\\-|\\.|[^\s*_|\\-]|\\)+-?)")
_STANZA_NUMBER = re.compile(r"\s*\d+[.:)]?(?=\s)")  # only at the start of a line; section 5.3


class LyricLine(NamedTuple):
    """One w: field, and the range of written notes that it is sung to."""

    first_note: int
    end_note: int  # one past the last
    text: str


def align_lyrics(line: LyricLine, bar_of_note: Sequence[int]) -> list[tuple[int, str]]:
    """Assign the syllables of a w: field to their notes.

    A syllable that does not end its word keeps its hyphen. Surplus syllables are dropped.

    Parameters
    ----------
    line : LyricLine
    bar_of_note : shape (n_notes,), ascending
        The measure of every written note of the voice.

    Returns
    -------
    list of (note, syllable)

    Source
    ------
    ABC 2.1, section 5.
    """
    syllables: list[tuple[int, str]] = []
    note = line.first_note
    bar = bar_of_note[note] if note < line.end_note else 0
    number = _STANZA_NUMBER.match(line.text)
    for piece in _PIECE.finditer(line.text, number.end() if number else 0):
        if note >= line.end_note:
            break
        syllable = piece["syllable"]
        if syllable:
            words = syllable.replace("\\-", "\N{HYPHEN}").replace("~", " ")
            syllables.append((note, clean_text(words).replace("\N{HYPHEN}", "-")))
        if piece[0] == "|":
            bar += 1
            note = max(note, bisect_left(bar_of_note, bar))
        else:
            note += 1
    return syllables
