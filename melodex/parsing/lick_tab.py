"""Parse licks typed as tab: strings, frets, left-hand techniques and chords."""

import re
from dataclasses import replace
from typing import NamedTuple

from melodex.errors import QueryError
from melodex.model.lick import Lick, LickHands
from melodex.model.tablature import TabNote
from melodex.model.tuning import HIGHEST_FRET, OPEN_G, BanjoTuning, tuning_named
from melodex.parsing.lick_numbers import lick_from_notes
from melodex.parsing.lick_text import (
    FIRST_VALUE,
    onsets_of,
    parse_note_value,
    within_midi,
    word_shown,
    words_of,
)

# The letter before a fret, and the technique that it stands for. Common practice, no source.
LEFT_HANDS = {"h": "hammer-on", "p": "pull-off", "s": "slide", "c": "choke"}
TOGETHER = "+"
_NOTE = re.compile(rf"([1-5]):([{''.join(LEFT_HANDS)}]?)([0-9]{{1,2}})([TIM]?)")
_BEGINS_ON_ITS_STRING = {
    "hammer-on": 1,
    "pull-off": -1,
    "slide": 0,
}  # 1: from below, -1: from above


class _Played(NamedTuple):
    """A note as typed in a word."""

    string: int
    fret: int
    left_hand: str
    finger: str
    word: str


def lick_from_tab(text: str, tuning: str = OPEN_G.name) -> Lick:
    """Parse a lick given as strings and frets.

    Searches compare pitches: the same notes on other strings are the same lick. ``place_lick``
    keeps the fingering.

    Parameters
    ----------
    text : str
        Strings and frets, "4:0 3:0:q 2:1", values as in ``lick_from_names``. A letter before the
        fret is a left-hand technique: h hammer-on, p pull-off, s slide, c choke. T, I or M after
        the fret is the finger that strikes it. ``+`` joins notes that sound together: "3:2 3:h3
        5:0T+1:0M:q".
    tuning : str
        The name of a tuning or its five notes, "double C" or "gCGCD". Frets of the short string are
        counted from the nut of the long strings: 5:7 is two half-steps above open.

    Raises
    ------
    QueryError
        If a string, fret, value or tuning cannot be understood, the neck has no such fret, or a
        hammer-on, pull-off or slide has no note to start from.

    Examples
    --------
    >>> lick_from_tab("4:0 3:0 2:1 5:0").melody.pitches.tolist()
    [50, 55, 60, 67]
    >>> [note.left_hand for note in lick_from_tab("4:0 4:h2 3:0").hands.notes]
    ['', 'hammer-on', '']
    """
    tuned = tuning_named(tuning)
    together: list[list[_Played]] = []
    durations: list[float] = []
    value = FIRST_VALUE
    fret_on: dict[int, int] = {}
    for word in words_of(text):
        names, behind = _without_value(word)
        value = value if behind is None else parse_note_value(behind, word)
        played = [_played(name, word, tuned) for name in names.split(TOGETHER)]
        _check_together(played, fret_on)
        fret_on |= {note.string: note.fret for note in played}
        together.append(played)
        durations.append(value)
    onsets = onsets_of(durations)
    pitches = [
        max(within_midi(tuned.pitch(note.string, note.fret), note.word) for note in played)
        for played in together
    ]
    lick = lick_from_notes(pitches, onsets, durations, came_from=text.strip())
    notes = tuple(
        TabNote(onset, duration, note.string, note.fret, note.left_hand, note.finger)
        for onset, duration, played in zip(onsets, durations, together, strict=True)
        for note in sorted(played)
    )
    return replace(lick, hands=LickHands(notes, tuned.open_strings))


def _without_value(word: str) -> tuple[str, str | None]:
    """Split a word into its notes and its value; the value is None if it has none."""
    *before, last = word.split(TOGETHER)
    string, colon, rest = last.partition(":")
    fret, value_colon, value = rest.partition(":")
    names = TOGETHER.join([*before, f"{string}{colon}{fret}"])
    return names, value if value_colon else None


def _played(name: str, word: str, tuning: BanjoTuning) -> _Played:
    match = _NOTE.fullmatch(name)
    if match is None:
        raise QueryError(
            f"'{word_shown(name)}' is not a string and fret.",
            "write them with a colon between, h, p, s or c before the fret for a hammer-on, "
            "pull-off, slide or choke, and + between notes that sound together: "
            "4:0 4:h2 3:0+1:0 2:1:q.",
        )
    string, fret = int(match[1]), int(match[3])
    if not tuning.has(string, fret):
        raise QueryError(
            f"String {string} has no fret {fret}.",
            f"give 0 (open) or a fret up to {HIGHEST_FRET - tuning.capo}; the short string begins "
            f"at fret {tuning.short_string_nut}.",
        )
    return _Played(string, fret, LEFT_HANDS.get(match[2], ""), match[4], word)


def _check_together(played: list[_Played], fret_on: dict[int, int]) -> None:
    """Raise if a string would sound twice at once, or a slur has no note to start from."""
    strings = [note.string for note in played]
    for string in strings:
        if strings.count(string) > 1:
            raise QueryError(
                f"'{word_shown(played[0].word)}' has two notes on string {string}.",
                "write one after the other, with a space between.",
            )
    for note in played:
        if note.left_hand not in _BEGINS_ON_ITS_STRING:
            continue
        move = note.fret - fret_on.get(note.string, note.fret)
        rises = _BEGINS_ON_ITS_STRING[note.left_hand]
        if not move or move * rises < 0:
            whence = {1: "a lower", -1: "a higher", 0: "another"}[rises]
            raise QueryError(
                f"'{word_shown(note.word)}' is a {note.left_hand}, and the note before it on "
                f"string {note.string} is not on {whence} fret.",
                f"write the note that it begins on before it: {note.string}:0 {note.string}:h2.",
            )
