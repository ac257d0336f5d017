"""What makes an arrangement hard to play or dull to hear: every cost, in one record."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StrokeCosts:
    """Costs that add up along an arrangement; the cheapest is chosen.

    They are set by what players say of the hands (common practice, no source), and so that
    ``tests.benchmarks.hands.arrangements`` counts no finger that a filler wears out.
    """

    # Right hand, from one stroke to the next within a fast note.
    out_of_the_question: float = 200.0  # a filler takes the finger or the string of its neighbour
    same_finger: float = 20.0  # between two melody notes
    same_string: float = 2.0  # between two melody notes
    unusual_finger: float = 0.6  # not the first that a string has
    pinched_melody: float = 0.8  # a melody note struck together with the roll's string
    # Left hand.
    fret: float = 0.2  # for each fret of a melody note
    above_the_fifth: float = 0.4  # for each fret of it above the fifth, beside that
    held_fret: float = 0.25  # for each filler that is fretted
    stopped_filler_of_a_stage: float = 0.5  # beside that, in the stages before the last
    shift: float = 0.3  # for each fret that the hand moves
    fast_shift: float = 0.15  # beside that, within a fast note, for the square of the frets
    # For each melody note of a tune that could be played from the G chord and is not: a learner
    # knows fewer shapes there. Of 80 bundled tunes 20 are, 30 if it cost nothing, and 14 if it
    # cost 2.
    unusual_position: float = 1.25
    drone_melody: float = 3.0  # a melody note on the short string, where a drone is heard
    left_hand: float = -0.8  # a hammer-on, pull-off or slide into a strong note
    # Composed licks on long notes.
    lick: float = -1.5
    lick_out_of_turn: float = 0.6  # long notes take turns with the stock, so that licks vary
    # The roll.
    off_the_roll: float = 0.5  # a slot without the roll's finger
    unpinched: float = 1.2  # a slot of a pinch in which one string is struck
    off_the_named_roll: float = 3.0  # the same where a roll is named and the melody leaves room
    silent_slot: float = 2.5  # a slot in which nothing sounds, beside that
    other_string: float = 0.1  # the roll's finger on another string than usual
    change_of_roll: float = 0.5  # from one measure to the next
    unsuited_roll: float = 0.1  # for each slot of a jig with a waltz's roll, or the reverse
    echoes: float = 0.8  # a filler at the pitch of the melody note that sounds
    rubs: float = 0.6  # a filler a half-step from the melody note that sounds


ARRANGING = StrokeCosts()
