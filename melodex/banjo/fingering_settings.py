"""What makes a fingering hard: every cost, in one record."""

from dataclasses import dataclass

FREE_REACH = 3  # frets above the index finger that the other three cover, one each
LONGEST_REACH = 4  # with a stretch; a beginner's hand should not try more
HIGHEST_POSITION = 19  # fret of the index finger
FAST = 0.5  # quarter notes; from one note to the next in no more than this, fingers take turns
FASTEST_EASY_ROLL = 7.0  # strokes a second; eighth notes at 210 quarter notes a minute
LEARNERS_TEMPO = 100.0  # quarter notes a minute, where the source states none
SECONDS_A_MINUTE = 60
FARTHEST_FAST_SHIFT = 4  # frets; more within a fast note is a leap of the hand
_ROUNDING = 1e-6  # quarter notes; onsets are sums of fractions


def is_fast(earlier: float, later: float) -> bool:
    """Whether two onsets, in quarter notes, are no more than an eighth note apart."""
    return later - earlier <= FAST + _ROUNDING


@dataclass(frozen=True, slots=True)
class FingeringCosts:
    """Costs that add up along a fingering; the cheapest is chosen.

    They are set by what players say of the hands (common practice, no source). With them 97 in
    100 notes of the songbook's hand-made tab get the string and fret that they have there, and of
    20,000 pairs of fast notes in 400 bundled tunes one is struck by one finger
    (``tests/benchmarks/hands/tab_fingering.py``).
    """

    aim: int  # the fret around which to play
    from_aim: float = 0.15  # for each fret that a note lies away from the aim
    open_string: float = 0.0  # for each open string, instead of its distance from the aim
    shift: float = 0.3  # for each fret that the hand moves from one note to the next
    stretch: float = 2.0  # where the hand spans five frets instead of four
    short_string: float = 0.0  # for each note on it, open or not, where it is to drone
    short_string_fretted: float = 2.0  # the left hand must reach over the neck
    same_finger: float = 2.0  # the same right-hand finger twice in a row in a fast passage
    off_the_string: float = 20.0  # a hammered, pulled or slid note on another string than before
    thumb_inside: float = 0.1  # the thumb on string 2, where the index finger has its place
    finger_beside: float = 0.2  # a right-hand finger on a string beside its own


DOWN_THE_NECK = FingeringCosts(aim=0)
UP_THE_NECK = FingeringCosts(aim=9, open_string=0.6)
