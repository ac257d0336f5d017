"""The form of a song, letter by letter, derived from the phrases that it repeats."""

from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase

from melodex.phrases.shared import FEWEST_NOTES, MOSTLY, Phrase


@dataclass(frozen=True, slots=True)
class FormSection:
    """A section of a song; sections with the same letter are similar."""

    letter: str
    notes: range


def form_of(phrases: tuple[Phrase, ...], n_notes: int) -> tuple[FormSection, ...]:
    """Divide a song by the phrases that it repeats, the longest first.

    Music between them is a section of its own if it has at least five notes.

    Parameters
    ----------
    phrases : tuple of Phrase
        Phrases of a melody compared with itself.
    n_notes : int
        Number of notes of the melody.

    Returns
    -------
    tuple of Part
        In order, not overlapping; lettered in order of appearance. Empty if nothing repeats.
    """
    kinds: dict[range, int] = {}  # similar sections have the same number
    for number, phrase in enumerate(phrases):
        places = phrase.stretch.places
        known = [kinds[part] for place in places for part in kinds if _is_mostly(place, part)]
        for place in places:
            if not any(_common(place, part) for part in kinds):
                kinds[place] = known[0] if known else number
    if not kinds:
        return ()
    bounds = [range(0), *sorted(kinds, key=lambda part: part.start), range(n_notes, n_notes)]
    for before, after in pairwise(bounds):
        if after.start - before.stop >= FEWEST_NOTES:
            kinds[range(before.stop, after.start)] = len(phrases) + before.stop
    in_order = sorted(kinds.items(), key=lambda part: part[0].start)
    letters = {kind: _letter(n) for n, kind in enumerate(dict.fromkeys(k for _, k in in_order))}
    return tuple(FormSection(letters[kind], notes) for notes, kind in in_order)


def _common(one: range, other: range) -> int:
    return len(range(max(one.start, other.start), min(one.stop, other.stop)))


def _is_mostly(place: range, part: range) -> bool:
    return _common(place, part) >= MOSTLY * len(place)


def _letter(number: int) -> str:
    """Return the letter of an index: A to Z, then A2 to Z2 and so on."""
    again, place = divmod(number, len(ascii_uppercase))
    return ascii_uppercase[place] + (str(again + 1) if again else "")
