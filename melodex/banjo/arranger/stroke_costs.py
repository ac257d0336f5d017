"""All costs of an arrangement: what makes it hard to play or dull to hear."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StrokeCosts:
    """Costs that add up along an arrangement; the cheapest one is chosen.

    They are hand-set from what players say (common practice, no source), and so that
    ``tests.benchmarks.hands.arrangements`` counts no overused finger caused by a filler.
    """

    # Right hand, between two strokes within a fast note.
    out_of_the_question: float = 200.0  # a filler uses the finger or the string of its neighbour
    same_finger: float = 20.0  # between two melody notes
    same_string: float = 2.0  # between two melody notes
    unusual_finger: float = 0.6  # not the string's first choice
    pinched_melody: float = 0.8  # a melody note struck together with the roll's string
    # Left hand.
    fret: float = 0.2  # for each fret of a melody note
    above_the_fifth: float = 0.4  # for each of its frets above the fifth, in addition
    held_fret: float = 0.25  # for each fretted filler
    stopped_filler_of_a_stage: float = 0.5  # in addition, in stages before the last
    shift: float = 0.3  # for each fret that the hand shifts
    fast_shift: float = 0.15  # in addition, within a fast note, for the squared number of frets
    # For each melody note of a tune that could be played from the G chord but is not, since a
    # learner knows fewer shapes elsewhere. Of 80 bundled tunes 20 are not, 30 at a cost of 0, and
    # 14 at a cost of 2.
    unusual_position: float = 1.25
    drone_melody: float = 3.0  # a melody note on the short string, where it sounds like a drone
    left_hand: float = -0.8  # a hammer-on, pull-off or slide to a strong note
    # Composed licks on long notes.
    lick: float = -1.5
    lick_out_of_turn: float = 0.6  # long notes alternate between licks, so that these vary
    # The roll.
    off_the_roll: float = 0.5  # a slot without the roll's finger
    unpinched: float = 1.2  # a pinch's slot with only one string struck
    off_the_named_roll: float = 3.0  # the same if a roll is named and the melody leaves room
    silent_slot: float = 2.5  # a slot in which nothing sounds, in addition
    other_string: float = 0.1  # the roll's finger on an unusual string
    change_of_roll: float = 0.5  # from one measure to the next
    unsuited_roll: float = 0.1  # for each slot of a jig with a waltz's roll, or vice versa
    echoes: float = 0.8  # a filler at the pitch of the sounding melody note
    rubs: float = 0.6  # a filler a half-step from the sounding melody note


ARRANGING = StrokeCosts()
