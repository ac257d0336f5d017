"""Correct a misread song; the correction is kept when its file is read again."""

from dataclasses import replace

from melodex.errors import MetreError, QueryError, shown
from melodex.index import corrections
from melodex.index.song_records import as_utf8
from melodex.index.store import Catalogue
from melodex.model.catalogue import SongEntry
from melodex.model.correction import Correction
from melodex.model.key import Key
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_key import parse_key
from melodex.parsing.metre_text import metre_from_ratios

LONGEST_TITLE = 200  # characters; it has to fit a heading
MOST_PICKUP = 99.0  # quarter notes; metre_text allows 99 beats


def correct_song(
    catalogue: Catalogue,
    song: str,
    *,
    title: str | None = None,
    key: str | None = None,
    metre: str | None = None,
    pickup: float | None = None,
) -> SongEntry:
    """Correct the title, key, metre or pickup of a misread song, and return its facts.

    The song keeps its id. The correction is kept when the file is read again, even if the song was
    removed. Later corrections add to earlier ones; ``undo_corrections`` removes all of them.

    Parameters
    ----------
    song : str
        Its id or an unambiguous part of its title.
    title : str or None
        Its title; None, here as below, leaves it as it is.
    key : str or None
        Tonic and mode: "G", "A dorian", "F# minor".
    metre : str or None
        "6/8", "3+2/8", or "none" for free metre, throughout. If the measures have another length,
        bar lines are placed anew.
    pickup : float or None
        Quarter notes before the first full measure, 0 for none; bar lines are placed anew.

    Returns
    -------
    SongEntry
        ``song`` (its id), ``title``, ``collection``, ``key``, ``metre``, ``measures``, ``notes``,
        ``level``, ``tags`` and ``file``.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    QueryError
        If nothing is corrected, or a value is not valid or does not fit the song.

    Examples
    --------
    ::

        melodex.correct_song(catalogue, "Cinder Path", key="A dorian")
    """
    correction = Correction(
        title=None if title is None else _title(title),
        key=None if key is None else _key(key),
        metre=None if metre is None else _metre(metre),
        pickup=None if pickup is None else _pickup(pickup),
    )
    if not correction.corrected:
        raise QueryError("Nothing is corrected.", "give a title, a key, a metre or a pickup.")
    song_id = catalogue.resolve(song)
    corrections.correct(catalogue, song_id, correction)
    return catalogue.entry(song_id)


def undo_corrections(catalogue: Catalogue, song: str) -> SongEntry:
    """Undo all corrections of a song, and return its facts.

    Parameters
    ----------
    song : str
        Its id or an unambiguous part of its title.

    Returns
    -------
    SongEntry
        As from ``correct_song``.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    QueryError
        If nothing was corrected.

    Examples
    --------
    ::

        melodex.correct_song(catalogue, "Cinder Path", metre="3/4")
        print(melodex.undo_corrections(catalogue, "Cinder Path").metre)
    """
    song_id = catalogue.resolve(song)
    corrections.undo_corrections(catalogue, song_id)
    return catalogue.entry(song_id)


def _title(given: str) -> str:
    title = " ".join(as_utf8(given).split())
    if not title or len(title) > LONGEST_TITLE:
        raise QueryError(
            "The title is too long." if title else "The title is empty.",
            f"write 1 to {LONGEST_TITLE} characters.",
        )
    return title


def _key(text: str) -> Key:
    next_step = "write a tonic and a mode: G, A dorian, F# minor."
    try:
        field = parse_key(text)
    except AbcError:
        raise QueryError(f"{shown(text)} is not a key.", next_step) from None
    if field.key is None or not field.key.tonic or field.remarks:
        raise QueryError(f"{shown(text)} is not a key.", next_step)
    return replace(field.key, mode=field.key.mode or "major")


def _metre(text: str) -> Metre:
    text = "".join(text.split())
    try:
        metre = FREE_METRE if text.casefold() in {"none", "free"} else metre_from_ratios(text)
    except MetreError:
        metre = None
    if metre is None:
        raise QueryError(
            f"{shown(text)} is not a metre.",
            "write one such as 6/8 or 3+2/8, or none for free metre.",
        )
    return metre


def _pickup(quarter_notes: float) -> float:
    if not 0 <= quarter_notes <= MOST_PICKUP:
        raise QueryError(
            f"{shown(quarter_notes)} is not a length of a pickup.",
            "give quarter notes: 0 for none, 0.5 for an eighth note.",
        )
    return float(quarter_notes)
