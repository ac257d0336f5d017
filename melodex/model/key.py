"""Key: tonic, mode and written accidentals."""

from dataclasses import dataclass

# Sharps (+) or flats (-) of each mode's signature, relative to the major key on the same tonic.
# Common practice; the signatures of ABC 2.1, section 3.1.14, are tested against it.
SHARPS_OF_MODE = {
    "lydian": 1,
    "major": 0,
    "mixolydian": -1,
    "dorian": -2,
    "minor": -3,
    "phrygian": -4,
    "locrian": -5,
}
_FIFTHS_OF_LETTER = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_PITCH_CLASS_OF_LETTER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SHARP_ORDER = "FCGDAEB"
MAJOR_SCALE = (0, 2, 4, 5, 7, 9, 11)  # half-steps above the tonic
# Common practice: the melodic minor scale raises its sixth and seventh degree on the way up.
RAISED_IN_MINOR = (9, 11)


@dataclass(frozen=True, slots=True)
class Key:
    """A key as stated in the source; an empty tonic or mode is unknown."""

    tonic: str  # "G", "Bb", "F#", or "" if unknown
    mode: str  # a key of SHARPS_OF_MODE, or ""
    signature: tuple[tuple[str, int], ...] = ()  # (letter, half-steps), as written at the clef

    @property
    def tonic_pitch_class(self) -> int | None:
        """0 for C to 11 for B; None if the tonic is unknown."""
        if not self.tonic:
            return None
        letter, accidentals = self.tonic[0], self.tonic[1:]
        shift = accidentals.count("#") - accidentals.count("b")
        return (_PITCH_CLASS_OF_LETTER[letter] + shift) % 12

    @property
    def scale(self) -> frozenset[int] | None:
        """The pitch classes of the mode's seven notes, in minor with both sixths and sevenths.

        None where the tonic or the mode is unknown.
        """
        tonic = self.tonic_pitch_class
        if tonic is None or self.mode not in SHARPS_OF_MODE:
            return None
        # A mode has the notes of the major scale that lies as many fifths above its tonic.
        major = {(7 * SHARPS_OF_MODE[self.mode] + step) % 12 for step in MAJOR_SCALE}
        raised = RAISED_IN_MINOR if self.mode == "minor" else ()
        return frozenset((tonic + step) % 12 for step in (*major, *raised))

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}".strip()


def key_named(text: str | None) -> Key | None:
    """Return the key from its ``str``; None for None."""
    if not text:
        return None
    tonic, _, mode = text.partition(" ")
    return Key(tonic, mode) if tonic[0] in _PITCH_CLASS_OF_LETTER else Key("", text)


def signature_of(tonic: str, mode: str) -> tuple[tuple[str, int], ...]:
    """Return the key signature of a tonic ("F#") and a mode ("dorian").

    Theoretical keys with more than seven accidentals get double sharps or flats.
    """
    letter, accidentals = tonic[0], tonic[1:]
    fifths = _FIFTHS_OF_LETTER[letter] + SHARPS_OF_MODE[mode]
    fifths += 7 * (accidentals.count("#") - accidentals.count("b"))
    step = 1 if fifths > 0 else -1
    order = _SHARP_ORDER if fifths > 0 else _SHARP_ORDER[::-1]
    alterations = dict.fromkeys(order, 0)
    for n in range(abs(fifths)):
        alterations[order[n % 7]] += step
    return tuple((letter, shift) for letter, shift in alterations.items() if shift)
