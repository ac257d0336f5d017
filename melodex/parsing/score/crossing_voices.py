"""Move voices that cross the staves of a part onto one staff.

music21 makes a part of every staff, so a voice that moves to another staff would be split.
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple
from xml.etree.ElementTree import Element

_TOP_STAFF = _FIRST_VOICE = "1"  # of notes that state none. Source: MusicXML 4.0, staff and voice


class _Place(NamedTuple):
    """The position of a note."""

    note: Element
    measure: int
    run: int  # notes written without going back in time; counted from 0 in each measure
    voice: str
    staff: str
    begin: float  # in divisions from the start of the measure
    end: float


def staves_followed(measures: Sequence[Element]) -> dict[Element, str]:
    """Return the staff on which to read each note of a crossing voice.

    A voice is read on the staff with most of its notes; the first voice, which is the one melodex
    reads, on the highest staff that it touches.

    Parameters
    ----------
    measures : sequence of Element
        The measures of one part of a score-partwise document.

    Returns
    -------
    dict of Element to str
        The number of the staff, only for notes written on another one. Parts with tablature are
        left unchanged: their staves show the same music twice.

    Source
    ------
    MusicXML 4.0, voice: voices belong to a part, not to its staves. Some programs number the voices
    of each staff separately; there a voice is followed only from one note to the next.
    """
    places = [
        place for number, measure in enumerate(measures) for place in _places(number, measure)
    ]
    if len({place.staff for place in places}) == 1 or _has_tab(measures):
        return {}
    is_of_part = not _sounds_on_two_staves_at_once(places)
    staves: defaultdict[Hashable, Counter[str]] = defaultdict(Counter)
    for place in places:
        staves[_line_of(place, is_of_part=is_of_part)][place.staff] += 1
    first = min((place.voice for place in places), key=_order)
    homes = {
        line: min(counts, key=_order) if line == first else _most_used(counts)
        for line, counts in staves.items()
    }
    found = ((place, homes[_line_of(place, is_of_part=is_of_part)]) for place in places)
    return {place.note: home for place, home in found if home != place.staff}


def _places(number: int, measure: Element) -> Iterator[_Place]:
    now = begin = 0.0
    run = 0
    for element in measure:
        length = _length(element)
        if element.tag == "backup":
            now, run = now - length, run + 1
        elif element.tag == "forward":
            now += length
        elif element.tag == "note":
            if element.find("chord") is None:
                begin, now = now, now + length
            voice = (element.findtext("voice") or "").strip() or _FIRST_VOICE
            staff = (element.findtext("staff") or "").strip() or _TOP_STAFF
            yield _Place(element, number, run, voice, staff, begin, now)


def _length(element: Element) -> float:
    try:
        return float(element.findtext("duration") or 0)
    except ValueError:
        return 0.0


def _has_tab(measures: Sequence[Element]) -> bool:
    signs = (sign for measure in measures for sign in measure.iterfind("attributes/clef/sign"))
    return any((sign.text or "").strip() == "TAB" for sign in signs)


def _sounds_on_two_staves_at_once(places: Sequence[_Place]) -> bool:
    """Return whether a voice is on two staves at one time, except within a chord."""
    for _, group in groupby(places, key=lambda place: place.measure):
        in_time = sorted(group, key=lambda place: (place.voice, place.begin))
        latest: dict[str, _Place] = {}
        for place in in_time:
            before = latest.get(place.voice)
            overlaps = before and place.begin < before.end and place.run != before.run
            if before and overlaps and place.staff != before.staff:
                return True
            if not before or place.end >= before.end:
                latest[place.voice] = place
    return False


def _line_of(place: _Place, *, is_of_part: bool) -> Hashable:
    return place.voice if is_of_part else (place.voice, place.measure, place.run)


def _order(number: str) -> tuple[int, str]:
    return len(number), number


def _most_used(counts: Counter[str]) -> str:
    return min(counts, key=lambda staff: (-counts[staff], _order(staff)))
