"""ABC files to songs, by the ABC 2.1 standard."""

from functools import partial
from pathlib import Path

from melodex.errors import ScoreParseError
from melodex.model.reading import Failure, Reading
from melodex.model.song import Song, Source
from melodex.parsing.abc.abc_book import TuneText, split_book
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_header import lines_of
from melodex.parsing.abc.abc_song import BookFacts, read_tune
from melodex.parsing.abc.abc_text import decode_abc
from melodex.parsing.tune_by_tune import read_tunes

__all__ = ["decode_abc", "read_abc"]

_LONGEST_NAME = 100  # characters
MOST_TUNES = 20_000  # the largest bundled book has some 2,000
NO_TUNE = "no tune in it: no line begins with X:"


def read_abc(
    text: str, file: str, *, collection: str = "", line_is_phrase: bool = False
) -> Reading:
    """Read every tune of an ABC book; a broken one does not hinder the others.

    Parameters
    ----------
    text : str
        The content of the file, see ``decode_abc``.
    file : str
        Its name, as songs and failures will give it.
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
    Notes, measures and bar lines are kept as written; sections hold the order of playing, which
    follows repeats, endings and the order of parts (P:). Where the standard leaves a choice: of
    several voices one is the melody (see ``TuneReader.melody_voice``), overlays (&) are passed
    over; of several verses the first is kept; an octave clef, octave= and whole octaves of
    transpose= change the pitch, other transposition does not. Symbol lines (s:), words after the
    tune (W:), redefined decorations (U:) and every directive but propagate-accidentals are passed
    over. What was read with a liberty stands in the song's remarks.

    Source
    ------
    The ABC music standard 2.1, 2011, under loose interpretation (section 12.2).
    """
    book = split_book(text)
    facts = BookFacts(file, collection, lines_of(1, book.header), book.is_strict, line_is_phrase)
    if len(book.tunes) > MOST_TUNES:
        reason = (
            f"it has {len(book.tunes):,} tunes, and {MOST_TUNES:,} are the most; split the file"
        )
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
    """Return the number of a tune, else its title, as written: its escapes may be at fault."""
    for letter in "XT":
        for line in lines:
            field, colon, text = line.partition(":")
            if colon and field.strip() == letter:
                name = text.partition("%")[0].strip()
                if name:
                    return name[:_LONGEST_NAME]
    return ""
