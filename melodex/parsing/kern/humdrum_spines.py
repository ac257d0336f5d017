"""Split a Humdrum file into pieces, and a piece into spines of any representation."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path

from melodex.errors import ScoreParseError

# Of the 1,326 kern files in music21's corpus the longest has 24,512 tokens, the widest 8 columns.
MOST_TOKENS = 500_000
MOST_COLUMNS = 1000

_SPLIT, _JOIN, _EXCHANGE, _ADD, _END = "*^", "*v", "*x", "*+", "*-"
_PATH_INDICATORS = frozenset({_SPLIT, _JOIN, _EXCHANGE, _ADD, _END})
_EMPTY = _PATH_INDICATORS | {".", "*"}  # tokens that state nothing about the music
_REFERENCE = re.compile(r"!!!([^!:@]+)(?:@{1,2}[^:]*)?:\s*(\S.*)")


Record = tuple[int, str]  # a line's number, counted from 1, and its text
SpineToken = tuple[int, str]  # the number of a line, and the text of a spine on it


@dataclass(slots=True)
class Spine:
    """A column of one representation, followed through splits, joins and exchanges.

    Where a spine splits, its first branch is followed.
    """

    kind: str  # its exclusive interpretation without the asterisks: "kern", "text"
    tokens: list[SpineToken] = field(
        default_factory=list[SpineToken]
    )  # without null tokens and comments
    splits: bool = False


_Path = Spine | None  # the spine of a column; None: a second branch or an added spine


def pieces_of(text: str) -> Iterator[list[Record]]:
    """Yield the records of each piece, without blank lines; a piece begins with its spines.

    Comments and reference records between two pieces belong to the second.

    Source
    ------
    Huron, The Humdrum User Guide, chapter 5: a record of exclusive interpretations ("**kern")
    begins spines, "*-" terminates them.
    """
    piece: list[Record] = []
    n_comments = 0  # at the end of the piece
    has_begun = False
    for number, line in enumerate(StringIO(text, newline="\n"), start=1):
        record = line.rstrip()
        if not record or len(piece) > MOST_TOKENS:
            continue
        if record.startswith("!!"):
            n_comments += 1
        elif record.startswith("**") and "\t*\t" not in f"\t{record}\t":
            if has_begun:
                yield piece[: len(piece) - n_comments]
                piece = piece[len(piece) - n_comments :]
            has_begun, n_comments = True, 0
        else:
            n_comments = 0
        piece.append((number, record))
    yield piece


def references_of(piece: Iterable[Record]) -> dict[str, list[str]]:
    """Return the values of reference records by code ("OTL": titles), in any language."""
    values: dict[str, list[str]] = {}
    for _, record in piece:
        reference = _REFERENCE.match(record) if record.startswith("!!!") else None
        if reference:
            values.setdefault(reference[1].strip(), []).append(reference[2])
    return values


def spines_of(piece: Sequence[Record], shown: Path) -> list[Spine]:
    """Follow the spines of a piece from the top to the bottom.

    Parameters
    ----------
    piece : sequence of Record
        Its records.
    shown : Path
        The path as errors show it.

    Returns
    -------
    list of Spine
        In the order in which they begin, from left to right.

    Raises
    ------
    ScoreParseError
        If the piece is too long, or a line has more or fewer columns than there are spines.

    Source
    ------
    Huron, The Humdrum User Guide, chapter 5 (spine paths).
    """
    _check_size(piece, shown)
    spines: list[Spine] = []
    paths: list[_Path] = []
    for number, record in piece:
        if record.startswith("!"):
            continue
        tokens = _columns(record)
        if not spines and record.startswith("**"):
            spines = [Spine(token[2:]) for token in tokens]
            paths = list(spines)
            continue
        if len(tokens) != len(paths):
            reason = f"the number of columns ({len(tokens)}) is not that of spines ({len(paths)})"
            raise ScoreParseError(shown, line=number, reason=reason)
        for spine, text in zip(paths, tokens, strict=True):
            if spine is not None and text not in _EMPTY:
                spine.tokens.append((number, text))
        if record.startswith("*") and not _PATH_INDICATORS.isdisjoint(tokens):
            paths = _paths_after(paths, tokens, number, shown)
    return spines


def _columns(record: str) -> list[str]:
    tokens = record.split("\t")
    # Repeated tabs are a common mistake. Source: "Everything You Need to Know About the Humdrum
    # **kern Representation", section 5.1.
    return [token for token in tokens if token] if "" in tokens else tokens


def _check_size(piece: Sequence[Record], shown: Path) -> None:
    n_tabs = [record.count("\t") for _, record in piece]
    if len(piece) + sum(n_tabs) > MOST_TOKENS:
        raise ScoreParseError(shown, reason=f"a piece has more than {MOST_TOKENS:,} tokens")
    if max(n_tabs, default=0) >= MOST_COLUMNS:
        raise ScoreParseError(shown, reason=f"a line has more than {MOST_COLUMNS:,} columns")


def _paths_after(
    paths: Sequence[_Path], tokens: Sequence[str], line: int, shown: Path
) -> list[_Path]:
    """Return the columns after a record that splits, joins, exchanges or ends spines."""
    if tokens.count(_EXCHANGE) not in (0, 2):
        reason = "it does not exchange two spines"
        raise ScoreParseError(shown, line=line, reason=reason)
    exchanged = [path for path, token in zip(paths, tokens, strict=True) if token == _EXCHANGE]
    after: list[_Path] = []
    for column, (path, token) in enumerate(zip(paths, tokens, strict=True)):
        if token == _JOIN and column > 0 and tokens[column - 1] == _JOIN:
            after[-1] = after[-1] or path
        elif token == _EXCHANGE:
            after.append(exchanged.pop())
        elif token != _END:
            after.append(path)
        if token in (_SPLIT, _ADD):
            after.append(None)
        if token == _SPLIT and path is not None:
            path.splits = True
    return after
