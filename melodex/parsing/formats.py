"""Read a music file: choose the reader by suffix, and turn every problem into a sentence."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from melodex.errors import MelodexError, ScoreParseError
from melodex.model.reading import Failure, Reading
from melodex.parsing.abc.abc_reader import decode_abc, read_abc
from melodex.parsing.file_content import decode_text, opening_of, read_bounded
from melodex.parsing.file_kind import (
    ABC,
    KERN,
    MIDI,
    PLAIN_TEXT,
    TEXT_TAB,
    XML,
    ZIP,
    looks_like,
)
from melodex.parsing.score.mxl_archive import scores_in_archive
from melodex.parsing.score.safe_xml import parse_xml
from melodex.parsing.tune_by_tune import reason_in

# In the Essen books one line is one phrase. Source: the layout of their original files (from
# memory); arch shapes counted over these lines agree with those that Huron counted over phrases.
ONE_LINE_IS_ONE_PHRASE = frozenset({"essenFolksong"})

_KIND_OF_SUFFIX = {
    ".abc": ABC,
    ".musicxml": XML,
    ".xml": XML,
    ".mxl": ZIP,
    ".mid": MIDI,
    ".midi": MIDI,
    ".krn": KERN,
    ".kern": KERN,
    ".tab": TEXT_TAB,
    ".txt": TEXT_TAB,
}
SUFFIXES = frozenset(_KIND_OF_SUFFIX)
_AMBIGUOUS = frozenset({".tab", ".txt"})  # suffixes of any kind of text; the content decides


def read_file(path: Path, *, collection: str = "", shown_as: str | None = None) -> Reading:
    """Read the songs of a music file; whatever is wrong with it becomes a failure in the result.

    Parameters
    ----------
    path : Path
        A file whose suffix is one of ``SUFFIXES``, in upper or lower case.
    collection : str
        The name of the collection that its songs belong to.
    shown_as : str or None
        The name that songs and failures show for the file; None is the path as given.

    Returns
    -------
    Reading
        Songs and failures in the order of the file.
    """
    file = str(path) if shown_as is None else shown_as
    try:
        content = read_bounded(path, Path(file))
        kind = _checked_kind(content, path.suffix.lower(), Path(file))
        return _READERS[kind](content, file, collection)
    except ScoreParseError as error:
        return Reading((), (Failure(file, error.tune, error.line, error.reason),))
    except MelodexError as error:  # the file's only tune is not a valid melody
        return Reading((), (Failure(file, "", None, reason_in(error)),))


def _checked_kind(content: bytes, suffix: str, shown: Path) -> str:
    """Return the kind that a suffix stands for; raise if the content is clearly something else."""
    named = _KIND_OF_SUFFIX.get(suffix)
    if named is None:
        raise ScoreParseError(shown, reason=unknown_suffix(suffix))
    found = looks_like(content)
    if suffix in _AMBIGUOUS and found == ABC:
        return ABC
    may_be_text = found == PLAIN_TEXT and named not in (MIDI, ZIP)
    if found != named and not may_be_text:
        reason = f"it looks like {found}, not like {named} as its suffix {suffix} says"
        raise ScoreParseError(shown, reason=reason)
    return named


def is_music(path: Path) -> bool:
    """Return whether a file found in a folder is music: by its suffix, or for text by its content.

    A text that is not a regular file, or cannot be opened, counts as music, so that the reader
    reports what is wrong with it.
    """
    suffix = path.suffix.lower()
    if suffix not in _AMBIGUOUS:
        return suffix in SUFFIXES
    try:
        # A pipe could block forever, so only regular files are opened.
        return not path.is_file() or looks_like(opening_of(path)) in (ABC, TEXT_TAB)
    except OSError:
        return True


def unknown_suffix(suffix: str) -> str:
    """Return why files with a suffix cannot be read, listing the suffixes that can."""
    known = ", ".join(sorted(SUFFIXES))
    return f"files with the suffix {suffix!r} cannot be read, only {known}"


def _read_abc(content: bytes, file: str, collection: str) -> Reading:
    line_is_phrase = collection in ONE_LINE_IS_ONE_PHRASE
    text = decode_abc(content)
    return read_abc(text, file, collection=collection, line_is_phrase=line_is_phrase)


def _read_text_tab(content: bytes, file: str, collection: str) -> Reading:
    from melodex.parsing.tab.text_tab import read_text_tab  # loaded late: few catalogues hold any

    return read_text_tab(decode_text(content), file, collection)


# Each reader is imported when its first file comes: music21 and mido, which some of them use, take
# longer to load than most files take to read.


def _read_xml(content: bytes, file: str, collection: str) -> Reading:
    from melodex.parsing.score.score_reader import read_musicxml

    return read_musicxml([partial(parse_xml, content, Path(file))], file, collection)


def _read_mxl(content: bytes, file: str, collection: str) -> Reading:
    from melodex.parsing.score.score_reader import read_musicxml

    return read_musicxml(scores_in_archive(content, Path(file)), file, collection)


def _read_midi(content: bytes, file: str, collection: str) -> Reading:
    from melodex.parsing.midi.midi_reader import read_midi

    return read_midi(content, file, collection)


def _read_kern(content: bytes, file: str, collection: str) -> Reading:
    from melodex.parsing.kern.kern_reader import read_kern

    return read_kern(decode_text(content), file, collection)


_READERS: dict[str, Callable[[bytes, str, str], Reading]] = {
    ABC: _read_abc,
    XML: _read_xml,
    ZIP: _read_mxl,
    MIDI: _read_midi,
    KERN: _read_kern,
    TEXT_TAB: _read_text_tab,
}
