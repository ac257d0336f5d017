"""The sounds of a tab for MusicXML: notes that begin together, and slurs on their strings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from melodex.model.tablature import Tab
from melodex.notation.tab_measures import TabMeasure, exact
from melodex.tab_files.xml_elements import Struck


@dataclass(frozen=True, slots=True)
class WrittenSound:
    """Notes that begin together, a rest, or a part of either; times in quarter notes."""

    onset: Fraction
    end: Fraction
    together: tuple[Struck, ...]
    whole: tuple[Fraction, Fraction]  # start and end, including parts in other measures


def sounds_within(sounds: Sequence[WrittenSound], measure: TabMeasure) -> Iterator[WrittenSound]:
    """Yield the sounds of a measure, cut at its bar lines, with the rests between."""
    reached = measure.onset
    for sound in sounds:
        onset, end = max(sound.onset, measure.onset), min(sound.end, measure.end)
        if onset >= end:
            continue
        if onset > reached:
            yield _rest(reached, onset)
        yield replace(sound, onset=onset, end=end)
        reached = end
    if reached < measure.end:
        yield _rest(reached, measure.end)


def _rest(onset: Fraction, end: Fraction) -> WrittenSound:
    return WrittenSound(onset, end, (), (onset, end))


def sounds_of(tab: Tab, measures: Sequence[TabMeasure]) -> list[WrittenSound]:
    """Return notes grouped by onset; each group ends no later than the next begins."""
    notes = [note for measure in measures for note in measure.notes]
    reached: dict[int, tuple[tuple[str, str], ...]] = {}
    latest: dict[int, int] = {}
    for place, note in enumerate(notes):
        before = latest.get(note.string)
        if not note.is_struck:
            reached[place] = (("stop", note.left_hand),)
            if before is not None:
                reached[before] = (*reached.get(before, ()), ("start", note.left_hand))
        latest[note.string] = place
    struck = [
        Struck(note, tab.pitch(note), reached.get(place, ())) for place, note in enumerate(notes)
    ]
    groups = [tuple(group) for _, group in groupby(struck, key=lambda each: each.note.onset)]
    onsets = [exact(group[0].note.onset) for group in groups]
    ends = [exact(max(each.note.onset + each.note.duration for each in group)) for group in groups]
    following = [*onsets[1:], ends[-1]] if ends else []
    return [
        WrittenSound(onset, min(end, latest_end), group, (onset, min(end, latest_end)))
        for onset, end, latest_end, group in zip(onsets, ends, following, groups, strict=True)
    ]
