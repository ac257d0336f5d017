r"""w: fields of ABC: syllables and the notes that they are sung to."""

import re
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

from melodex.parsing.abc.abc_text import clean_text

# A sign, or a syllable with its hyphen. Source: ABC 2.1, section 5.1; "\-" is a hyphen
# that parts no syllables; any other hyphen that no syllable ends with stands for a note.
_PIECE = re.compile(r"[*_|-]|(?P<syllable>(?:\\-|\\.|[^\s*_|\\-]|\\)+-?)")
_STANZA_NUMBER = re.compile(r"\s*\d+[.:)]?(?=\s)")  # the first word, by itself; section 5.3


class LyricLine(NamedTuple):
    """One w: field, and the written notes that it is sung to."""

    first_note: int
    end_note: int  # one past the last
    text: str


def align_lyrics(line: LyricLine, bar_of_note: Sequence[int]) -> list[tuple[int, str]]:
    """Assign the syllables of a w: field to their notes.

    A syllable that does not end its word keeps its hyphen. Excess syllables are left out.

    Parameters
    ----------
    line : LyricLine
    bar_of_note : shape (n_notes,), never falling
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
