"""Why a lick fits where it does, in a teacher's words."""

from collections.abc import Iterator, Sequence

from melodex.model.results.placement import AS_WRITTEN, HandsKept, LickFit

_ALIKE = 0.4  # likeness from which on the lick and the melody there are heard as kin
_OCTAVE = 12  # half-steps
_CLEARLY = 0.95  # shares from which on nothing is amiss
_HANDS_IN_WORDS: dict[HandsKept, str] = {
    "strings and frets": "It keeps its strings and frets.",
    "strings": "It keeps its strings, on other frets; an open fifth string stays the drone.",
    "drone at most": "It is fingered anew as a whole; an open fifth string stays the drone.",
}


def reasons_in_words(
    fit: LickFit, chords: Sequence[str], *, chords_estimated: bool, form: str = AS_WRITTEN
) -> tuple[str, ...]:
    """List what speaks for a place and against it, and what becomes of the lick, a sentence each.

    Parameters
    ----------
    form : str
        How the song's metre counts the lick.
    """
    return (
        _about_chords(fit, chords, chords_estimated=chords_estimated),
        *_about_key(fit),
        _about_melody(fit),
        *_about_joins(fit),
        _about_transposition(fit),
        *([f"The song has another metre: {form}."] if form != AS_WRITTEN else []),
        *_about_hands(fit),
    )


def _about_chords(fit: LickFit, chords: Sequence[str], *, chords_estimated: bool) -> str:
    if not chords:
        return "No chord is known there."
    source = ", estimated from the melody" if chords_estimated else ""
    named = f"chord{'s'[: len(chords) > 1]} {' '.join(chords)}"
    return f"{fit.chord_notes:.0%} of it are notes of the {named}{source}."


def _about_key(fit: LickFit) -> Iterator[str]:
    if fit.key_notes < _CLEARLY:
        yield f"{1 - fit.key_notes:.0%} of it lies outside the song's scale."


def _about_melody(fit: LickFit) -> str:
    if fit.kind == "fill":
        return f"The song rests, or holds or repeats a note, {fit.room:.0%} of the time: a fill."
    if fit.likeness >= _ALIKE:
        return f"It can stand for the melody there: likeness {fit.likeness:.2f} of 1."
    return f"It replaces another melody: likeness {fit.likeness:.2f} of 1."


def _about_joins(fit: LickFit) -> Iterator[str]:
    ways = [
        f"{_leap_in_words(leap)} {where}"
        for leap, where in ((fit.leap_in, "into it"), (fit.leap_out, "out of it"))
        if leap is not None
    ]
    if ways:
        yield f"The melody goes {', '.join(ways)}."
    for frets, where in ((fit.hand_in, "into it"), (fit.hand_out, "out of it")):
        if frets:
            yield f"The left hand leaps {where}, {frets} fret{'s'[: frets > 1]} past its reach."


def _about_hands(fit: LickFit) -> Iterator[str]:
    if fit.hands_kept in _HANDS_IN_WORDS:
        yield _HANDS_IN_WORDS[fit.hands_kept]
    if fit.slurs_struck:
        yield (
            f"{fit.slurs_struck} slur{'s'[: fit.slurs_struck > 1]} of it cannot be kept: "
            "no string has both notes, and the second is struck."
        )


def _leap_in_words(half_steps: int) -> str:
    if half_steps == 0:
        return "on the same note"
    way = "up" if half_steps > 0 else "down"
    return f"{way} {abs(half_steps)} half-step{'s'[: abs(half_steps) > 1]}"


def _about_transposition(fit: LickFit) -> str:
    if not fit.transposition:
        return "It keeps its own pitch."
    octaves, half_steps = divmod(abs(fit.transposition), _OCTAVE)
    if not half_steps:  # a song without strings may lie an octave from where it is written
        way = "up" if fit.transposition > 0 else "down"
        moved = f"It keeps its own notes, {_octaves_in_words(octaves)} {way}"
    else:
        moved = f"It is moved {_leap_in_words(fit.transposition)}"
    if not fit.octaves:
        return f"{moved}."
    way = "higher" if fit.octaves > 0 else "lower"
    return (
        f"{moved}, {_octaves_in_words(abs(fit.octaves))} {way} than the song lies there, to stay "
        "on the neck."
    )


def _octaves_in_words(count: int) -> str:
    return "an octave" if count == 1 else f"{count} octaves"
