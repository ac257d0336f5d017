"""The rhythm of a measure in notation: note values, ties, tuplets and beams."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from typing import NamedTuple

from melodex.notation.metre_weights import MetreBeats, cut_at_beats, places_between
from melodex.notation.note_values import NoteValue, note_values

PLAIN = (1, 1)
_GRIDS = (4, 8, 16, 32, 64)  # parts of a quarter note, for rounding an irregular rhythm
_FINEST = 64  # parts of a quarter note; the shortest value is one of them
_EIGHTH, _QUARTER, _HALF = Fraction(1, 2), Fraction(1), Fraction(2)


class TimeSpan(NamedTuple):
    """A sound or rest from one time to another within a measure."""

    begin: Fraction  # quarter notes from the start of the full measure
    end: Fraction
    sound: int | None  # the caller's index; None for a rest


class Piece(NamedTuple):
    """A written note, chord or rest; consecutive pieces of one sound are tied."""

    begin: Fraction
    value: NoteValue
    sound: int | None


class Run(NamedTuple):
    """The pieces of a tuplet, or pieces outside of tuplets."""

    tuplet: tuple[int, int]  # notes, in the time of how many; PLAIN for none
    pieces: tuple[Piece, ...]


class WrittenRhythm(NamedTuple):
    """A measure's rhythm."""

    runs: tuple[Run, ...]
    is_rounded: bool  # true if it has no exact notation, so its times were rounded to a grid


def written_rhythm(spans: Sequence[TimeSpan], beats: MetreBeats) -> WrittenRhythm:
    """Return a measure's rhythm, exactly if note values, ties and tuplets allow it.

    Otherwise times are rounded to the coarsest grid that keeps every sound; sounds that coincide
    even on 64 parts of a quarter note are dropped.

    Parameters
    ----------
    spans : sequence of Span
        At least one, in order and without gaps.
    """
    exact = _runs(spans, beats)
    if exact is not None:
        return WrittenRhythm(tuple(exact), is_rounded=False)
    sounds = {span.sound for span in spans}
    rounded = [_rounded(spans, grid) for grid in _GRIDS]
    keeping_all = [each for each in rounded if {span.sound for span in each} >= sounds]
    runs = _runs((keeping_all or rounded[-1:])[0], beats)
    return WrittenRhythm(tuple(runs or ()), is_rounded=True)


def beamed(pieces: Sequence[Piece], beats: MetreBeats) -> list[list[Piece]]:
    """Return pieces grouped by the beams that join them; a piece without a beam is alone."""
    groups: list[list[Piece]] = []
    for (_, has_beam), group in groupby(
        pieces, lambda piece: (_beam_place(piece, pieces, beats), _takes_beam(piece))
    ):
        members = list(group)
        groups += [members] if has_beam else [[piece] for piece in members]
    return groups


def _takes_beam(piece: Piece) -> bool:
    return piece.sound is not None and piece.value.name not in {"whole", "half", "quarter"}


def _beam_place(piece: Piece, pieces: Sequence[Piece], beats: MetreBeats) -> Fraction:
    """Return the beam that a piece belongs to: its beat, or for eighths its half measure."""
    if beats.joins_eighths:
        half = piece.begin // _HALF
        together = [other for other in pieces if other.begin // _HALF == half]
        if all(other.value.length == _EIGHTH for other in together):
            return half * _HALF
    return beats.beat_before(piece.begin)


def _runs(spans: Sequence[TimeSpan], beats: MetreBeats) -> list[Run] | None:
    """Return the runs that express the spans; None if no values or tuplets are exact."""
    runs: list[Run] = []
    left = list(spans)
    while left:
        closed = next((n for n, span in enumerate(left, 1) if is_halved(span.end)), len(left))
        group, left = left[:closed], left[closed:]
        is_plain = closed == 1 and is_halved(group[0].begin) and is_halved(group[0].end)
        written = _plain(group[0], beats) if is_plain else _tuplet(group, beats)
        if written is None:
            return None
        if runs and runs[-1].tuplet == written[0].tuplet == PLAIN:
            written[0] = Run(PLAIN, runs.pop().pieces + written[0].pieces)
        runs += written
    return runs


def is_halved(time: Fraction) -> bool:
    """Return whether a time is a binary fraction of a quarter note."""
    return time.denominator <= _FINEST and time.denominator & (time.denominator - 1) == 0


def _plain(span: TimeSpan, beats: MetreBeats) -> list[Run] | None:
    pieces: list[Piece] = []
    cuts = cut_at_beats(span.begin, span.end, beats, is_rest=span.sound is None)
    for begin, end in cuts:
        values = note_values(end - begin)
        if any(value.tuplet != PLAIN for value in values):
            return None
        for value in values:
            pieces.append(Piece(begin, value, span.sound))
            begin += value.length
        if begin != end:
            return None
    return [Run(PLAIN, tuple(pieces))]


def _tuplet(group: Sequence[TimeSpan], beats: MetreBeats) -> list[Run] | None:
    """Write spans as a tuplet that fills halves; split at beats if one value is not enough.

    A measure may begin or end within a tuplet, if a repeat or a pickup divides it.
    """
    values = [note_values(span.end - span.begin) for span in group]
    ratios = {value.tuplet for each in values for value in each}
    if all(len(each) == 1 for each in values) and len(ratios) == 1 and PLAIN not in ratios:
        pieces = [
            Piece(span.begin, value, span.sound)
            for span, (value,) in zip(group, values, strict=True)
        ]
        return [Run(ratios.pop(), tuple(pieces))]
    cut = [part for span in group for part in _cut_everywhere(span, beats)]
    return _runs(cut, beats) if len(cut) > len(group) else None


def _cut_everywhere(span: TimeSpan, beats: MetreBeats) -> list[TimeSpan]:
    places = places_between(span.begin, span.end, beats.pulse)
    edges = [span.begin, *places, span.end]
    return [TimeSpan(begin, end, span.sound) for begin, end in pairwise(edges)]


def _rounded(spans: Sequence[TimeSpan], grid: int) -> list[TimeSpan]:
    """Round times to a grid."""

    def near(time: Fraction) -> Fraction:
        return Fraction(round(time * grid), grid)

    moved = [TimeSpan(near(span.begin), near(span.end), span.sound) for span in spans]
    return [span for span in moved if span.begin < span.end]
