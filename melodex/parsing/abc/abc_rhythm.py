"""How long the notes of an ABC voice last: unit length, tuplets, broken rhythm."""

from fractions import Fraction

from melodex.model.metre import Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_tokens import Broken, Tuplet

# Time is counted in whole numbers, so that tuplets add up exactly: a quarter note can be halved
# ten times, and parted by 3 (three times), 5, 7, 11 and 13.
TICKS_OF_QUARTER = 2**10 * 3**3 * 5 * 7 * 11 * 13
TICKS_OF_WHOLE = 4 * TICKS_OF_QUARTER
# The longest note value that has a name is the maxima, eight whole notes (common practice). To
# engrave a note of hundreds of them, tie after tie, takes minutes.
_SHORTEST, _LONGEST = TICKS_OF_WHOLE // 2**14, TICKS_OF_WHOLE * 2**4
_UNBROKEN = (1, 1)

# Source: ABC 2.1, section 4.13: p notes in the time of so many, where they are not 2 or 3 by metre.
_TIME_OF_TUPLET = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_COMPOUND_METRES = {(6, 8), (9, 8), (12, 8)}


class RhythmReader:
    """Knows which tuplet and which broken rhythm are in force at the place that has been reached.

    Parameters
    ----------
    unit : Fraction
        Unit note length as a share of a whole note.
    """

    def __init__(self, unit: Fraction) -> None:
        self.set_unit(unit)
        self._tuplet_left = 0  # notes still to come in the tuplet
        self._tuplet = (1, 1)
        self._broken = _UNBROKEN  # what broken rhythm makes of the next note
        self._is_altered = False  # whether the next note is not simply as long as it is written

    def set_unit(self, unit: Fraction) -> None:
        """Let another unit note length hold from here on."""
        self._unit = int(unit * TICKS_OF_WHOLE)

    def begin_tuplet(self, tuplet: Tuplet, metre: Metre) -> None:
        """Squeeze or stretch the next notes."""
        compound = (metre.numerator, metre.denominator) in _COMPOUND_METRES
        by_metre = 3 if compound else 2
        time = tuplet.time or _TIME_OF_TUPLET.get(tuplet.notes, by_metre)
        self._tuplet = (time, tuplet.notes)
        self._tuplet_left = tuplet.span or tuplet.notes
        self._is_altered = True

    def break_rhythm(self, broken: Broken, length: int) -> int:
        """Return the changed length of the note before the mark, and remember the one after it."""
        self._broken = (broken.after, broken.denominator)
        self._is_altered = True
        return length * broken.before // broken.denominator

    def length(self, numerator: int, denominator: int) -> int:
        """Return the length in ticks of the next note or rest."""
        ticks = self._unit * numerator // denominator
        if self._is_altered:
            ticks = self._alter(ticks)
        if _SHORTEST <= ticks <= _LONGEST:
            return ticks
        raise AbcError(
            f"a note or rest of {numerator}/{denominator} unit notes, which is not between "
            "1/16384 and 16 whole notes"
        )

    def _alter(self, ticks: int) -> int:
        share, whole = self._broken
        self._broken = _UNBROKEN
        ticks = ticks * share // whole
        if self._tuplet_left:
            self._tuplet_left -= 1
            time, notes = self._tuplet
            ticks = ticks * time // notes
        self._is_altered = self._tuplet_left > 0
        return ticks
