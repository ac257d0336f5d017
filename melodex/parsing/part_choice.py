"""Choose which part of a score is the melody."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol, TypeVar

from melodex.parsing.written_score import WrittenPart, WrittenScore

# Names of parts that carry the tune. Common practice, no source.
_MELODY_NAME = re.compile(
    r"\b(melod(y|ie|ia)|tune|lead|vocals?|vocalist|voice|song|banjo|fiddle)\b", re.IGNORECASE
)
_KIND_OF_STAFF = re.compile(
    r"\b(tab|tablature|notation|standard|staff|stave)\b|[\W\d_]", re.IGNORECASE
)

_LONGEST_NAME = 60  # characters of a name shown in a remark
FIRST_VOICE = "Where several voices share its staff, only the first is read."


class NamedPart(Protocol):
    """A part with a name and a kind."""

    @property
    def name(self) -> str:
        """Its name in the score."""
        ...

    @property
    def is_tab(self) -> bool:
        """Whether it is tablature."""
        ...


_Part = TypeVar("_Part", bound=NamedPart)


def is_named_for_the_tune(name: str) -> bool:
    """Return whether a part's name says that it carries the tune."""
    return _MELODY_NAME.search(name) is not None


def melody_part(parts: Sequence[_Part]) -> _Part:
    """Return the part to read: a tab staff, else a part named for the tune, else the first.

    Parameters
    ----------
    parts : sequence, at least one
        Parts with notes, from top to bottom of the score.
    """
    return min(parts, key=lambda part: (not part.is_tab, not is_named_for_the_tune(part.name)))


def choice_remarks(kind: str, names: Sequence[str], chosen: int) -> list[str]:
    """Remark which of several parts was read.

    Parameters
    ----------
    kind : str
        The word for them: "part", "staff", "track", "voice".
    names : sequence of str
        Their names in the file, in order; empty if unnamed.
    chosen : int
        The index of the one that was read.

    Returns
    -------
    list of str
        One sentence, or none if there is only one.

    Examples
    --------
    >>> choice_remarks("part", ["Flute", "Violin", "Piano"], 1)
    ['Read part 2 of 3, "Violin"; the others are left out.']
    """
    n_others = len(names) - 1
    if not n_others:
        return []
    shown = " ".join(names[chosen].split())[:_LONGEST_NAME]
    name = f', "{shown}"' if shown else ""
    others = "the other is" if n_others == 1 else "the others are"
    return [f"Read {kind} {chosen + 1} of {len(names)}{name}; {others} left out."]


def with_facts_of_others(score: WrittenScore, parts: Sequence[WrittenPart]) -> WrittenScore:
    """Add chord symbols and tempo from the first other part that has them."""
    scores = [score, *(part.score for part in parts)]
    return replace(
        score,
        chords=next((each.chords for each in scores if each.chords), ()),
        tempo=next((each.tempo for each in scores if each.tempo), None),
    )


def notation_beside(tab: WrittenPart, parts: Sequence[WrittenPart]) -> WrittenPart | None:
    """Return the same music in notation: another staff of the tab's part, or a part named alike."""
    others = [part for part in parts if not part.has_tab_clef]
    same_part = (part for part in others if part_id(part) == part_id(tab))
    same_name = (part for part in others if instrument_of(part) == instrument_of(tab))
    return next(same_part, None) or next(same_name, None)


def part_id(part: WrittenPart) -> str:
    """Return the id that all staves of a part share."""
    return part.staff.partition("-Staff")[0]


def instrument_of(part: NamedPart) -> str:
    """Return a part's name without the words that distinguish its staves."""
    return _KIND_OF_STAFF.sub("", part.name).lower()
