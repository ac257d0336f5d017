"""Chords of a song: the chord symbols of its source, or an estimate if it has none."""

import re
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.errors import QueryError
from melodex.features.as_played import SAME_ONSET
from melodex.features.estimated_chords import estimated_chords
from melodex.model.chord_names import PITCH_CLASSES
from melodex.model.song import ChordSymbol, Song

_SYMBOL = re.compile(r"([A-G])([#b♯♭]?)((?:min|mi|m|-)(?!aj))?([^/]*)(/.*)?")


class Chord(NamedTuple):
    """A chord as root, third and extension."""

    root: int  # 0 for C to 11 for B
    is_minor: bool
    extension: str  # "7", "sus4": as written, without its bass note


def read_chord(text: str) -> Chord | None:
    """Parse a chord symbol; None if it is not a chord ("N.C.").

    Examples
    --------
    >>> read_chord("F#m7"), read_chord("slowly")
    (Chord(root=6, is_minor=True, extension='7'), None)
    """
    match = _SYMBOL.fullmatch(text.strip())
    if match is None:
        return None
    shift = {"#": 1, "♯": 1, "b": -1, "♭": -1}.get(match[2], 0)
    return Chord((PITCH_CLASSES[match[1]] + shift) % 12, bool(match[3]), match[4].strip())


def chord_tones(text: str) -> frozenset[int] | None:
    """Return a chord's pitch classes, 0 for C: triad and seventh ("D7"); None if not a chord.

    Examples
    --------
    >>> sorted(chord_tones("D7"))
    [0, 2, 6, 9]
    """
    chord = read_chord(text)
    if chord is None:
        return None
    steps = {0, 3 if chord.is_minor else 4, 7}
    if chord.extension.startswith("7"):
        steps.add(10)
    return frozenset((chord.root + step) % 12 for step in steps)


def chord_named(text: str) -> Chord:
    """Parse a chord symbol that a user typed.

    Raises
    ------
    QueryError
        If it is not a chord symbol.
    """
    chord = read_chord(text)
    if chord is None:
        raise QueryError(
            f"'{text}' is not a chord symbol.", "write a chord symbol: C, Am, D7, F#m."
        )
    return chord


def matches_chord(text: str, wanted: Chord) -> bool:
    """Return whether a chord symbol matches a given one: C also matches C7, C7 only itself."""
    chord = read_chord(text)
    return (
        chord is not None
        and (chord.root, chord.is_minor) == (wanted.root, wanted.is_minor)
        and wanted.extension in ("", chord.extension)
    )


def begin_over(wanted: Chord, chords: tuple[ChordSymbol, ...], onsets: Beats) -> NDArray[np.bool_]:
    """Return whether each onset is over a given chord.

    Parameters
    ----------
    chords : tuple of ChordSymbol
        In order; each lasts until the next. There is no chord before the first.
    onsets : shape (n,), quarter notes

    Returns
    -------
    shape (n,), bool
    """
    fits = np.array([False, *(matches_chord(chord.text, wanted) for chord in chords)])
    begins = np.array([chord.onset for chord in chords], np.float64)
    return fits[np.searchsorted(begins, onsets + SAME_ONSET, side="right")]


def chords_of(song: Song) -> tuple[tuple[ChordSymbol, ...], bool]:
    """Return a song's chords, and whether they are estimated because the source has none."""
    if song.chords:
        return song.chords, False
    return estimated_chords(song), True


def chords_during(
    chords: tuple[ChordSymbol, ...], begin: float, end: float
) -> list[tuple[str, float]]:
    """Return the chords sounding in a stretch, in order, each with its length in quarter notes.

    Parameters
    ----------
    begin, end : float
        Quarter notes from the start of the written music.
    """
    joined: list[tuple[str, float]] = []
    ends = [*(chord.onset for chord in chords[1:]), np.inf]
    for chord, chord_end in zip(chords, ends, strict=False):
        length = min(chord_end, end) - max(chord.onset, begin)
        if length <= SAME_ONSET:
            continue
        if joined and joined[-1][0] == chord.text:
            length += joined.pop()[1]
        joined.append((chord.text, float(length)))
    return joined
