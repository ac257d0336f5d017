"""Suggest levels for songs without one, with the reasons in words."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping

from melodex.features.playing.difficulty import HARDEST, difficulty_of, grades_of, level_of
from melodex.model.demands import Demands

# With fewer songs, a single one would move a percentile by more than a tenth.
FEWEST_GIVEN = 10
_INTERVALS = (
    *("one note only", "a half-step", "a whole step", "a third", "a third", "a fourth"),
    *("a tritone", "a fifth", "a sixth", "a sixth", "a seventh", "a seventh", "an octave"),
    *("a ninth", "a ninth", "a tenth", "a tenth", "an eleventh", "an eleventh", "a twelfth"),
    *("a thirteenth", "a thirteenth", "a fourteenth", "a fourteenth", "two octaves"),
)
_SLURS = ("hammer-on", "pull-off", "slide", "choke")


class LevelScale:
    """The scale of levels used by a catalogue, for songs without a level.

    If at least ten of its songs have a level, another song gets the level at the same percentile as
    its difficulty; otherwise one of 1 to 5.

    Source
    ------
    Equipercentile linking: Kolen and Brennan, Test Equating, Scaling, and Linking, 2014, chapter 2
    (from memory).
    """

    def __init__(self, given: Iterable[tuple[Demands, float]]) -> None:
        """Set up the scale from the songs that have a level."""
        pairs = list(given)
        self._hard = sorted(difficulty_of(demands) for demands, _ in pairs)
        self._levels = sorted(level for _, level in pairs)
        self._is_linked = len(pairs) >= FEWEST_GIVEN

    def level(self, demands: Demands) -> float:
        """Return a suggested level for a song."""
        difficulty = difficulty_of(demands)
        if not self._is_linked:
            return float(level_of(difficulty))
        # Half of the songs of equal difficulty count as easier.
        easier = bisect_left(self._hard, difficulty) + bisect_right(self._hard, difficulty)
        return self._levels[min(easier // 2, len(self._levels) - 1)]

    def reasons(self, demands: Demands) -> tuple[str, ...]:
        """Return why a song has its level: its grades in words, and what they lead to."""
        if self._is_linked:
            scale = f"as hard as the songs with level {self.level(demands):g}"
        else:
            scale = (
                f"level 1 to {HARDEST}: each is about a fifth of 12,760 folk songs and dance tunes"
            )
        return (*_grades_in_words(demands), scale)


def _grades_in_words(demands: Demands) -> Iterator[str]:
    """Yield a song's demands in words with the grade of each, the hardest first."""
    grades = grades_of(demands)
    for name in sorted(grades, key=lambda name: -grades[name]):
        yield f"{name} {grades[name]} of {HARDEST}: {_IN_WORDS[name](demands)}"


def _interval(half_steps: int) -> str:
    return _INTERVALS[half_steps] if half_steps < len(_INTERVALS) else "more than two octaves"


def _range(demands: Demands) -> str:
    return _interval(demands.half_steps)


def _rhythm(demands: Demands) -> str:
    return f"the pace changes at {demands.uneven:.0%} of the notes"


def _leaps(demands: Demands) -> str:
    if not demands.leaps:
        return "no step wider than a third"
    return (
        f"{demands.leaps:.0%} of the steps wider than a third, the widest "
        f"{_interval(demands.widest_leap)}"
    )


def _speed(demands: Demands) -> str:
    notes = f"{demands.notes_per_second:.1f} notes a second"
    if demands.tempo is None:
        return f"{notes} if a measure takes two seconds, since no tempo is given"
    return f"{notes} at {demands.tempo:g} quarter notes a minute"


def _left_hand(demands: Demands) -> str:
    used = [use.technique for use in demands.uses or () if use.technique in _SLURS]
    moves = f"{demands.hands.moves if demands.hands else 0:.1f} moves a measure"
    return f"{moves}, with {' and '.join(f'{each}s' for each in used)}" if used else moves


def _position(demands: Demands) -> str:
    highest = demands.hands.highest_fret if demands.hands else 0
    return f"up to fret {highest}" if highest else "open strings only"


def _right_hand(demands: Demands) -> str:
    hands = demands.hands
    return f"{hands.patterns if hands else 0} patterns in {hands.measures if hands else 0} measures"


_IN_WORDS: Mapping[str, Callable[[Demands], str]] = {
    "range": _range,
    "leaps": _leaps,
    "rhythm": _rhythm,
    "speed": _speed,
    "left hand": _left_hand,
    "position": _position,
    "right hand": _right_hand,
}
