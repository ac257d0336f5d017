"""All costs of a fingering: what makes it hard to play."""

from dataclasses import dataclass

FREE_REACH = 3  # frets above the index finger that the other three fingers cover
LONGEST_REACH = 4  # with a stretch; more is too much for a beginner's hand
HIGHEST_POSITION = 19  # fret of the index finger
FAST = 0.5  # quarter notes; within this time, fingers must alternate
FASTEST_EASY_ROLL = 7.0  # strokes a second; eighth notes at 210 quarter notes a minute
LEARNERS_TEMPO = 100.0  # quarter notes a minute, if the source states no tempo
SECONDS_A_MINUTE = 60
FARTHEST_FAST_SHIFT = 4  # frets; more within a fast note is a leap of the hand
_ROUNDING = 1e-6  # quarter notes; onsets are sums of fractions


def is_fast(earlier: float, later: float) -> bool:
    """Return whether two onsets, in quarter notes, are at most an eighth note apart."""
    return later - earlier <= FAST + _ROUNDING


@dataclass(frozen=True, slots=True)
class FingeringCosts:
    """Costs that add up along a fingering; the cheapest one is chosen.

    They are hand-set from what players say (common practice, no source). With them, 97 % of the
    notes of the songbook's hand-made tab get the string and fret that they have there, and of
    20,000 pairs of fast notes in 400 bundled tunes one is played with the same finger twice
    (``tests/benchmarks/hands/tab_fingering.py``).
    """

    aim: int  # the fret around which to play
    from_aim: float = 0.15  # for each fret between a note and the aim
    open_string: float = 0.0  # for each open string, instead of its distance from the aim
    shift: float = 0.3  # for each fret that the hand moves between two notes
    stretch: float = 2.0  # if the hand spans five frets instead of four
    short_string: float = 0.0  # for each note on it, open or not, if it should only drone
    short_string_fretted: float = 2.0  # the left hand must reach over the neck
    same_finger: float = 2.0  # a right-hand finger twice in a row in a fast passage
    off_the_string: float = 20.0  # a slurred note on another string than the note before
    thumb_inside: float = 0.1  # the thumb on string 2, the index finger's place
    finger_beside: float = 0.2  # a right-hand finger on a string next to its own


DOWN_THE_NECK = FingeringCosts(aim=0)
UP_THE_NECK = FingeringCosts(aim=9, open_string=0.6)
