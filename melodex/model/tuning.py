"""Banjo tunings: pitches of the open strings, and how frets are counted."""

from dataclasses import dataclass

from melodex.errors import QueryError

SHORT_STRING = 5
SHORT_STRING_BEGINS = 5  # at this fret of the neck. Common practice, no source.
HIGHEST_FRET = 22  # of the neck
UP_THE_NECK = 7  # from this fret on. Common practice, no source.
HIGHEST_CAPO = HIGHEST_FRET - SHORT_STRING_BEGINS - 1  # leaves some of the neck to play on
_NOTE_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


@dataclass(frozen=True, slots=True)
class BanjoTuning:
    """The five strings of a banjo, with its capos.

    Frets are counted from the capo, 0 being open. Those of the short string are counted along the
    neck: it begins at the fifth fret, so that without a capo its fret 7 is two half-steps above the
    open string, and it has no frets 1 to 5.
    """

    name: str
    strings: tuple[int, int, int, int, int]  # MIDI pitch without capos, string 1 first
    capo: int = 0  # the fret of a capo across strings 1 to 4
    short_string_capo: int = 0  # the fret at which the short string is stopped; 0 for none

    @property
    def open_strings(self) -> tuple[int, int, int, int, int]:
        """MIDI pitch of the open strings, string 1 first, capos included."""
        first, second, third, fourth, short = self.strings
        raised = max(self.short_string_capo - SHORT_STRING_BEGINS, 0)
        return (
            first + self.capo,
            second + self.capo,
            third + self.capo,
            fourth + self.capo,
            short + raised,
        )

    @property
    def short_string_nut(self) -> int:
        """The fret, counted from the capo, at which the open short string begins."""
        return max(self.short_string_capo, SHORT_STRING_BEGINS) - self.capo

    def has(self, string: int, fret: int) -> bool:
        """Return whether a string has a fret."""
        if not (1 <= string <= len(self.strings) and 0 <= fret <= HIGHEST_FRET - self.capo):
            return False
        return string != SHORT_STRING or fret == 0 or fret > self.short_string_nut

    def pitch(self, string: int, fret: int) -> int:
        """Return the MIDI pitch of an existing fret (see ``has``)."""
        above_open = fret
        if string == SHORT_STRING and fret:
            above_open = fret - self.short_string_nut
        return self.open_strings[string - 1] + above_open

    def __str__(self) -> str:
        """Return the notes as players write them, short string first, without capos: "gDGBD"."""
        short, *others = (_NOTE_NAMES[pitch % 12] for pitch in reversed(self.strings))
        return "".join([short.lower(), *others])

    @property
    def string_names(self) -> tuple[str, ...]:
        """The names at the left of tab lines, string 1 first, without capos."""
        *others, short = (_NOTE_NAMES[pitch % 12] for pitch in self.strings)
        return (*others, short.lower())


# Strings 1 to 5. Common practice, no source.
OPEN_G = BanjoTuning("open G", (62, 59, 55, 50, 67))
NAMED_TUNINGS = (
    OPEN_G,
    BanjoTuning("double C", (62, 60, 55, 48, 67)),
    BanjoTuning("G modal", (62, 60, 55, 50, 67)),
    BanjoTuning("open D", (62, 57, 54, 50, 66)),
    BanjoTuning("C", (62, 59, 55, 48, 67)),
)
# Other names that players use. Common practice, no source.
_OTHER_NAMES = {
    "standard": "open G",
    "G": "open G",
    "sawmill": "G modal",
    "mountain minor": "G modal",
    "mountain modal": "G modal",
    "drop C": "C",
    "standard C": "C",
}


def tuning_named(name: str, *, capo: int = 0) -> BanjoTuning:
    """Return the tuning with a name, or with five given notes.

    Parameters
    ----------
    name : str
        "open G", "double C", "G modal" ("sawmill"), "open D" or "C"; or its five notes from the
        short string to the first, "gCGCD". Names are case-insensitive, and spaces are ignored.
    capo : int
        The fret of a capo; the short string is then raised as much as the others.

    Raises
    ------
    QueryError
        If there is no such tuning, or the capo is not on the neck.

    Examples
    --------
    >>> tuning_named("double C", capo=2).open_strings
    (64, 62, 57, 50, 69)
    """
    if not 0 <= capo <= HIGHEST_CAPO:
        raise QueryError(
            f"A capo at fret {capo} leaves no neck to play on.",
            f"give a fret from 0 to {HIGHEST_CAPO}.",
        )
    typed = _as_typed(name).removesuffix("tuning")
    others = {_as_typed(other): _as_typed(usual) for other, usual in _OTHER_NAMES.items()}
    wanted = others.get(typed, typed)
    for tuning in NAMED_TUNINGS:
        if wanted in {_as_typed(tuning.name), _as_typed(str(tuning))}:
            return with_capo(tuning, capo)
    known = ", ".join(f"{tuning.name} ({tuning})" for tuning in NAMED_TUNINGS)
    raise QueryError(f"There is no tuning called '{name}'.", f"use one of {known}.")


def tuning_given(name: str | None, capo: int) -> BanjoTuning | None:
    """Return the tuning for a command's options; None if neither tuning nor capo is given.

    Raises
    ------
    QueryError
        As ``tuning_named``.
    """
    if name is None and not capo:
        return None
    return tuning_named(name or OPEN_G.name, capo=capo)


def with_capo(tuning: BanjoTuning, fret: int) -> BanjoTuning:
    """Return a tuning with a capo across strings 1 to 4, and the short string raised as much."""
    short_string_capo = SHORT_STRING_BEGINS + fret if fret else 0
    return BanjoTuning(tuning.name, tuning.strings, fret, short_string_capo)


def tuning_of_pitches(open_strings: tuple[int, ...]) -> BanjoTuning | None:
    """Return the tuning of five open strings as they sound; None if it is not a banjo's.

    Parameters
    ----------
    open_strings : tuple of int
        MIDI pitch, string 1 first, capo included.
    """
    if len(open_strings) != SHORT_STRING or open_strings[4] <= open_strings[3]:
        return None
    for tuning in NAMED_TUNINGS:
        capo = open_strings[0] - tuning.strings[0]
        if 0 <= capo <= SHORT_STRING_BEGINS:
            raised = with_capo(tuning, capo)
            if raised.open_strings == open_strings:
                return raised
    first, second, third, fourth, short = open_strings
    return BanjoTuning("a tuning of its own", (first, second, third, fourth, short))


def _as_typed(name: str) -> str:
    return "".join(name.split()).casefold()
