"""Which right-hand finger (thumb, index or middle) picks which string."""

# The strings that each finger picks in rolls, and neighbouring ones it picks if fingers have to
# alternate, as in scale passages. Common practice, no source.
OWN_STRINGS = {"T": (2, 3, 4, 5), "I": (2, 3), "M": (1,)}
STRINGS_BESIDE = {"T": (), "I": (1, 4), "M": (2,)}
# The finger of each string in a roll, or in a pinch that is not led by the melody.
USUAL_FINGER = {1: "M", 2: "I", 3: "T", 4: "T", 5: "T"}
FINGER_BITS = {"T": 1, "I": 2, "M": 4}


def _by_preference(string: int) -> str:
    """Return the fingers for a string, by preference: usual, own string, neighbouring string."""
    own = "".join(finger for finger, strings in OWN_STRINGS.items() if string in strings)
    beside = "".join(finger for finger, strings in STRINGS_BESIDE.items() if string in strings)
    usual = USUAL_FINGER[string]
    return usual + own.replace(usual, "") + beside


FINGERS_OF_STRING = {string: _by_preference(string) for string in USUAL_FINGER}
