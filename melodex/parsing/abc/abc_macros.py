"""m: fields of ABC: macros, which abbreviate pieces of music code."""

import re
from collections.abc import Iterable
from typing import NamedTuple

from melodex.parsing.abc.abc_error import AbcError

_LONGEST_LINE = 20_000  # characters; macros that expand each other grow without bound
_MOST_TARGET, _MOST_REPLACEMENT = 31, 200  # characters; section 9.1
_NOTE_LETTERS = "CDEFGABcdefgab"
_STEPS_OF_OCTAVE = 7
_ANY_NOTE = "n"  # in a transposing macro; h to z are notes relative to it
_RELATIVE_NOTE = re.compile(r"[h-z]")


class Macro(NamedTuple):
    """The text to find, and its replacement."""

    target: str
    replacement: str


def parse_macro(text: str) -> Macro | None:
    """Parse an m: field; None if it defines nothing that can be expanded."""
    target, equals, replacement = (part.strip() for part in text.partition("="))
    if not equals or not target or len(target) > _MOST_TARGET:
        return None
    return Macro(target, replacement[:_MOST_REPLACEMENT])


def expand(line: str, macros: Iterable[Macro]) -> str:
    """Expand the macros in a line of music code.

    Raises
    ------
    AbcError
        If the expanded line is too long.

    Source
    ------
    ABC 2.1, section 9: static macros, and transposing ones, whose target has the letter n.

    Examples
    --------
    >>> expand("~D2 ~b3", [Macro("~D2", "D{E}D"), Macro("~n3", "n{o}n/m/n")])
    "D{E}D b{c'}b/a/b"
    """
    for macro in macros:
        if _ANY_NOTE in macro.target:
            line = _expand_on_any_note(line, macro)
        else:
            line = line.replace(macro.target, macro.replacement)
        if len(line) > _LONGEST_LINE:
            raise AbcError(f"a line of more than {_LONGEST_LINE} characters with its macros")
    return line


def _expand_on_any_note(line: str, macro: Macro) -> str:
    before, _, after = macro.target.partition(_ANY_NOTE)

    def replacement(found: re.Match[str]) -> str:
        octaves = found[2].count("'") - found[2].count(",")
        step = _NOTE_LETTERS.index(found[1]) + octaves * _STEPS_OF_OCTAVE
        return _RELATIVE_NOTE.sub(
            lambda letter: _note_at(step + ord(letter[0]) - ord(_ANY_NOTE)), macro.replacement
        )

    pattern = rf"{re.escape(before)}([A-Ga-g])([,']*){re.escape(after)}(?!\d)"
    return re.sub(pattern, replacement, line)


def _note_at(step: int) -> str:
    """Return the note a number of scale steps above C, without accidental."""
    octaves, degree = divmod(step, _STEPS_OF_OCTAVE)
    if octaves > 0:
        return _NOTE_LETTERS[degree + _STEPS_OF_OCTAVE] + "'" * (octaves - 1)
    return _NOTE_LETTERS[degree] + "," * -octaves
