"""Read Humdrum kern files."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from itertools import takewhile
from pathlib import Path

from melodex.errors import ScoreParseError
from melodex.model.reading import Reading
from melodex.model.song import Song, Source
from melodex.parsing.kern.humdrum_spines import (
    Record,
    Spine,
    pieces_of,
    references_of,
    spines_of,
)
from melodex.parsing.kern.kern_part import kern_part
from melodex.parsing.part_choice import choice_remarks, melody_part, with_facts_of_others
from melodex.parsing.tune_by_tune import read_tunes
from melodex.parsing.written_score import song_of

_WORDS = frozenset({"text", "lyrics", "silbe"})
# Titles of the work, of the movement, and others. Source: Huron, The Humdrum User Guide, appendix I
# (reference records).
_TITLES = ("OTL", "OMD", "OTA", "OTP")


def read_kern(text: str, file: str, collection: str) -> Reading:
    """Read the pieces of a Humdrum file, each a song.

    Parameters
    ----------
    text : str
        The file's content.
    file : str
        Its name, as shown by songs and failures.
    collection : str
        The name of the collection that the songs belong to.

    Source
    ------
    Huron, The Humdrum User Guide, chapters 2, 5 and 6.
    """
    pieces = list(pieces_of(text))
    numbers = map(str, range(1, len(pieces) + 1)) if len(pieces) > 1 else [""]
    return read_tunes(
        (Source(file, number), partial(_song_of_piece, piece, collection))
        for number, piece in zip(numbers, pieces, strict=True)
    )


def _song_of_piece(piece: Sequence[Record], collection: str, source: Source) -> Song:
    shown = Path(source.file)
    spines = spines_of(piece, shown)
    # The rightmost part is the highest. Source: Huron, The Humdrum User Guide, chapter 2.
    parts = [
        kern_part(spine, _lyrics_of(place, spines), shown)
        for place, spine in reversed(list(enumerate(spines)))
        if spine.kind == "kern"
    ]
    sounding = [part for part in parts if part.has_notes]
    if not sounding:
        raise ScoreParseError(shown, reason="it has no notes in a spine of **kern")
    chosen = melody_part(sounding)
    score = with_facts_of_others(chosen.score, parts)
    references = references_of(piece)
    titles = [title for code in _TITLES for title in references.get(code, ())]
    song = song_of(score, list(dict.fromkeys(titles)), source, collection)
    choice = choice_remarks("part", [part.name for part in sounding], sounding.index(chosen))
    return replace(song, remarks=(*song.remarks, *choice))


def _lyrics_of(place: int, spines: Sequence[Spine]) -> dict[int, str]:
    """Return the lyrics of a part, by line: the words between its spine and the next part's."""
    beside = takewhile(lambda spine: spine.kind != "kern", spines[place + 1 :])
    words = next((spine.tokens for spine in beside if spine.kind in _WORDS), None) or []
    return {line: text for line, text in words if not text.startswith(("=", "*", "!"))}
