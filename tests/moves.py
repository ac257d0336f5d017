"""Random moves of both hands: several strings at once, each with a technique of its own."""

from collections.abc import Sequence
from random import Random
from typing import NamedTuple

from hypothesis import strategies as st

from melodex.banjo.sounded_song import sounded_song
from melodex.model.tablature import CHOKE, REACHED_BY_LEFT_HAND, Tab, TabNote
from melodex.model.tuning import OPEN_G
from tests.strategies import melody_of, song_of

EIGHTH = 0.5  # quarter notes
FRETS = {string: [fret for fret in range(13) if OPEN_G.has(string, fret)] for string in range(1, 6)}
STRUCK = [(left_hand, finger) for left_hand in ("", CHOKE) for finger in ("T", "I", "M", "")]
HANDS = [*STRUCK, *((left_hand, "") for left_hand in REACHED_BY_LEFT_HAND * 2)]


class Move(NamedTuple):
    """What both hands do on one string."""

    string: int
    fret: int
    left_hand: str
    finger: str


def random_moves(random: Random) -> list[Move]:
    """Move on one string or on several at once."""
    strings = sorted(random.sample(range(1, 6), random.randint(1, 5)))
    return [Move(string, random.choice(FRETS[string]), *random.choice(HANDS)) for string in strings]


@st.composite
def moves(draw: st.DrawFn) -> list[Move]:
    """Draw moves on one string or on several at once."""
    strings = sorted(draw(st.sets(st.integers(1, 5), min_size=1)))
    return [
        Move(string, draw(st.sampled_from(FRETS[string])), *draw(st.sampled_from(HANDS)))
        for string in strings
    ]


def tab_of_moves(moments: Sequence[Sequence[Move]]) -> Tab:
    """Lay moves out in even eighths, in measures of 4/4, in open G; the song has them too."""
    notes = tuple(
        TabNote(place * EIGHTH, EIGHTH, *move)
        for place, together in enumerate(moments)
        for move in together
    )
    measures = -(-len(moments) // 8)
    highest = [max(OPEN_G.pitch(*move[:2]) for move in together) for together in moments]
    melody = melody_of(*highest, durations=[EIGHTH] * len(moments))
    plain = song_of(melody, sections=[(0.0, 4.0 * measures)])
    return Tab(sounded_song(plain, notes, OPEN_G), OPEN_G, notes)
