"""Split an ABC book into its file header and its tunes."""

import re
from collections.abc import Iterator
from typing import NamedTuple

# Source: ABC 2.1, section 3.1.1; "X:|" at the start of a line is a rest before a repeat end.
_TUNE_START = re.compile(r"\s*X:(?![|:])")
_VERSION = re.compile(r"%abc-(\d+(?:\.\d+)?)")
_FIELD_OF_TUNE = re.compile(r"[TMLQKV]:")
_FIELD_OR_COMMENT = re.compile(r"[A-Za-z+]:(?![|:])|%")
_QUOTED = re.compile(r'"[^"]*"|![^!]*!')
_NEVER_IN_MUSIC = re.compile(r"[I-KNQRUVWYh-tw]|[^\x00-\x7f]")
_STRICT_FROM = 2.1  # section 12.3

CONTINUED_AFTER_BLANK = (
    "The music after the blank line at line {} was read as part of this tune, although a blank "
    "line ends a tune."
)
NO_REFERENCE_NUMBER = "The tune has no X: field."


class TuneText(NamedTuple):
    """The lines of one tune, without line ends."""

    first_line: int  # in the file, counted from 1
    lines: list[str]
    remarks: tuple[str, ...] = ()


class Book(NamedTuple):
    """A file split into tunes."""

    header: list[str]  # lines of the file header, which apply to every tune
    is_strict: bool  # whether the file declares ABC 2.1 or later
    tunes: list[TuneText]


class _Block(NamedTuple):
    """Consecutive lines without a blank one; an X: field always starts a new block."""

    first_line: int
    lines: list[str]

    @property
    def begins_tune(self) -> bool:
        return _TUNE_START.match(self.lines[0]) is not None

    @property
    def is_fragment(self) -> bool:
        """Whether this is a complete tune except for its X: field (section 2.3.1)."""
        has_field = any(_FIELD_OF_TUNE.match(line) for line in self.lines)
        return has_field and any("|" in line for line in self._music_lines())

    @property
    def is_music(self) -> bool:
        """Whether it holds music code and no prose."""
        music = self._music_lines()
        return any("|" in line for line in music) and len(music) == len(self.lines)

    def _music_lines(self) -> list[str]:
        return [
            line
            for line in self.lines
            if not _FIELD_OR_COMMENT.match(line)
            and not _NEVER_IN_MUSIC.search(_QUOTED.sub("", line))
        ]


def split_book(text: str) -> Book:
    """Split the text of an ABC file into its header and its tunes.

    A tune begins at its X: field and ends at a blank line or before the next X: field; text between
    tunes is ignored. Two mistakes are tolerated: music that continues after a blank line, and a
    tune without an X: field.

    Source
    ------
    ABC 2.1, sections 2.2.1 to 2.2.4, 2.3.1 and 12.3.
    """
    header: list[str] = []
    tunes: list[TuneText] = []
    for number, block in enumerate(_blocks(text)):
        if block.begins_tune:
            tunes.append(TuneText(block.first_line, block.lines))
        elif block.is_fragment:
            tunes.append(TuneText(block.first_line, block.lines, (NO_REFERENCE_NUMBER,)))
        elif number == 0:
            header = block.lines
        elif tunes and block.is_music:
            tunes[-1] = _continued(tunes[-1], block)
    version = _VERSION.match(text)
    return Book(header, version is not None and float(version[1]) >= _STRICT_FROM, tunes)


def _blocks(text: str) -> Iterator[_Block]:
    block: list[str] = []
    first_line = 1
    for number, line in enumerate(text.split("\n"), start=1):
        blank = not line or line.isspace()
        if block and (blank or _TUNE_START.match(line)):
            yield _Block(first_line, block)
            block = []
        if not blank:
            if not block:
                first_line = number
            block.append(line)
    if block:
        yield _Block(first_line, block)


def _continued(tune: TuneText, block: _Block) -> TuneText:
    """Append music to the tune before it; blank lines in between keep line numbers correct."""
    gap = block.first_line - tune.first_line - len(tune.lines)
    return TuneText(
        tune.first_line,
        [*tune.lines, *[""] * gap, *block.lines],
        (*tune.remarks, CONTINUED_AFTER_BLANK.format(block.first_line - 1)),
    )
