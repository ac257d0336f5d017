"""Note lengths of an ABC voice: unit length, tuplets, broken rhythm."""

from fractions import Fraction

from melodex.model.metre import Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_tokens import Broken, Tuplet

# Time is counted in integers, so that tuplets add up exactly: a quarter note can be halved ten
# times, and divided by 3 (three times), 5, 7, 11 and 13.
TICKS_OF_QUARTER = 2**10 * 3**3 * 5 * 7 * 11 * 13
TICKS_OF_WHOLE = 4 * TICKS_OF_QUARTER
# The longest named note value is the maxima, eight whole notes (common practice). Longer notes are
# limited because engraving one takes minutes: it is written as hundreds of tied notes.
_SHORTEST, _LONGEST = TICKS_OF_WHOLE // 2**14, TICKS_OF_WHOLE * 2**4
_UNBROKEN = (1, 1)

# Source: ABC 2.1, section 4.13: p notes in the time of q; other values of p depend on the metre.
_TIME_OF_TUPLET = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_COMPOUND_METRES = {(6, 8), (9, 8), (12, 8)}


class RhythmReader:
    """Tracks the tuplet and the broken rhythm in force while a voice is read.

    Parameters
    ----------
    unit : Fraction
        Unit note length as a fraction of a whole note.
    """

    def __init__(self, unit: Fraction) -> None:
        self.set_unit(unit)
        self._tuplet_left = 0  # notes remaining in the tuplet
        self._tuplet = (1, 1)
        self._broken = _UNBROKEN  # factor that broken rhythm applies to the next note
        self._is_altered = False  # whether the next note's length differs from the written one

    def set_unit(self, unit: Fraction) -> None:
        """Change the unit note length from here on."""
        self._unit = int(unit * TICKS_OF_WHOLE)

    def begin_tuplet(self, tuplet: Tuplet, metre: Metre) -> None:
        """Scale the lengths of the notes in a tuplet."""
        compound = (metre.numerator, metre.denominator) in _COMPOUND_METRES
        by_metre = 3 if compound else 2
        time = tuplet.time or _TIME_OF_TUPLET.get(tuplet.notes, by_metre)
        self._tuplet = (time, tuplet.notes)
        self._tuplet_left = tuplet.span or tuplet.notes
        self._is_altered = True

    def break_rhythm(self, broken: Broken, length: int) -> int:
        """Return the new length of the note before the mark; the next note is changed later."""
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
