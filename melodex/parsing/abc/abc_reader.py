"""Read ABC files, following the ABC standard 2.1."""

from functools import partial
from pathlib import Path

from melodex.errors import ScoreParseError
from melodex.model.reading import Failure, Reading
from melodex.model.song import Song, Source
from melodex.parsing.abc.abc_book import TuneText, split_book
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_header import abc_lines
from melodex.parsing.abc.abc_song import BookFacts, read_tune
from melodex.parsing.abc.abc_text import decode_abc
from melodex.parsing.tune_by_tune import read_tunes

__all__ = ["decode_abc", "read_abc"]

_LONGEST_NAME = 100  # characters
MOST_TUNES = 20_000  # the largest bundled book has about 2,000
NO_TUNE = "it contains no tune: no line begins with X:"


def read_abc(
    text: str, file: str, *, collection: str = "", line_is_phrase: bool = False
) -> Reading:
    """Read every tune of an ABC book; one that cannot be read becomes a failure.

    Parameters
    ----------
    text : str
        The content of the file, decoded by ``decode_abc``.
    file : str
        Its name, as shown by songs and failures.
    collection : str
        The name of the collection that the songs belong to.
    line_is_phrase : bool
        Whether every line of music is a phrase, as in the Essen books.

    Returns
    -------
    Reading
        Songs and failures in the order of the book.

    Notes
    -----
    Notes, measures and bar lines are kept as written; the song's sections hold the order of
    playing, which follows repeats, endings and the order of parts (P:). Where the standard leaves a
    choice, one of several voices is the melody (see ``TuneReader.melody_voice``) and overlays (&)
    are skipped; the first of several verses is kept; an octave clef, octave= and whole octaves of
    transpose= change the pitch, other transposition does not. Symbol lines (s:), words after the
    tune (W:), redefined decorations (U:) and every directive except propagate-accidentals are
    ignored. Departures from the standard become remarks on the song.

    Source
    ------
    The ABC music standard 2.1, 2011, under loose interpretation (section 12.2).
    """
    book = split_book(text)
    facts = BookFacts(file, collection, abc_lines(1, book.header), book.is_strict, line_is_phrase)
    if len(book.tunes) > MOST_TUNES:
        count = len(book.tunes)
        reason = f"it has {count:,} tunes, but at most {MOST_TUNES:,} are allowed; split the file"
        return Reading((), (Failure(file, "", None, reason),))
    if not book.tunes:
        return Reading((), (Failure(file, "", None, NO_TUNE),))
    return read_tunes(
        (Source(file, _name_of(tune.lines), tune.first_line), partial(_song_of, tune, facts))
        for tune in book.tunes
    )


def _song_of(tune: TuneText, facts: BookFacts, _: Source) -> Song:
    try:
        return read_tune(tune, facts)
    except AbcError as error:
        raise ScoreParseError(Path(facts.file), reason=error.problem, line=error.line) from error


def _name_of(lines: list[str]) -> str:
    """Return the number of a tune, else its raw title (decoding its escapes might fail)."""
    for letter in "XT":
        for line in lines:
            field, colon, text = line.partition(":")
            if colon and field.strip() == letter:
                name = text.partition("%")[0].strip()
                if name:
                    return name[:_LONGEST_NAME]
    return ""
