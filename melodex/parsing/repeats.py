"""Derive the order of playing from repeat marks and endings."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

MOST_PASSES = 16  # a section marked to be played more often is played this often
MOST_SECTIONS = 512


class RepeatMark(NamedTuple):
    """The repeats that a bar line indicates; several marks may share an onset."""

    onset: float  # quarter notes from the start of the music
    times: int = 0  # how often the section ending here is played in total; 0: none ends here
    starts: bool = False  # a repeated section starts here
    divides: bool = False  # a double or final bar line
    passes: tuple[int, ...] = ()  # the passes for which the ending that begins here is played
    start_times: int = 0  # how often the section starting here is played, if stated at its start


class PlayedSections(NamedTuple):
    """The order of playing."""

    sections: list[tuple[float, float]]  # (from, to): quarter notes from the start of the music
    shortened: bool  # whether repeats were left out because there are too many


class _Ending(NamedTuple):
    start: float
    end: float
    passes: tuple[int, ...]
    repeats: bool  # whether it ends with a repeat sign


class _Section(NamedTuple):
    """A stretch that is played ``times`` times, with different endings if there are any."""

    start: float
    end: float  # the end, including all endings
    times: int
    endings: tuple[_Ending, ...] = ()


def played_sections(
    marks: Iterable[RepeatMark], end: float, *, start: float = 0.0
) -> PlayedSections:
    """Follow repeats and endings through the music.

    A repeat end without a start goes back to the latest double bar or repeat end, else to the
    beginning. Stretches played without a jump between them are joined.

    Parameters
    ----------
    marks : RepeatMark
        In any order, from ``start`` to ``end``.
    end : float
        The end of the written music, in quarter notes.
    start : float
        Its start, before ``end``.

    Returns
    -------
    PlayedSections
        At most ``MOST_SECTIONS`` stretches; none is repeated more than ``MOST_PASSES`` times.

    Source
    ------
    ABC 2.1, sections 4.8 to 4.10; the repeats and endings of MusicXML mean the same.
    """
    sections = list(_sections_as_written(_one_mark_an_onset(marks), start, end))
    played = join_sections(stretch for section in sections for stretch in _stretches(section))
    too_often = any(section.times > MOST_PASSES for section in sections)
    return PlayedSections(played.sections, played.shortened or too_often)


def join_sections(stretches: Iterable[tuple[float, float]]) -> PlayedSections:
    """Join stretches without a jump between them; keep the first ``MOST_SECTIONS``."""
    played: list[tuple[float, float]] = []
    for start, stop in stretches:
        if played and played[-1][1] == start:
            played[-1] = (played[-1][0], stop)
        elif len(played) < MOST_SECTIONS:
            played.append((start, stop))
        else:
            return PlayedSections(played, True)
    return PlayedSections(played, False)


def _one_mark_an_onset(marks: Iterable[RepeatMark]) -> list[RepeatMark]:
    gathered: dict[float, RepeatMark] = {}
    for mark in marks:
        known = gathered.get(mark.onset)
        gathered[mark.onset] = mark if known is None else _both(known, mark)
    return [gathered[onset] for onset in sorted(gathered)]


def _both(mark: RepeatMark, other: RepeatMark) -> RepeatMark:
    return RepeatMark(
        mark.onset,
        max(mark.times, other.times),
        mark.starts or other.starts,
        mark.divides or other.divides,
        mark.passes + other.passes,
        max(mark.start_times, other.start_times),
    )


def _sections_as_written(marks: list[RepeatMark], start: float, end: float) -> Iterator[_Section]:
    """Divide the music where repeats start or end; yield each section with its endings."""
    marked_start, start_times = False, 0
    endings: list[_Ending] = []
    open_ending: RepeatMark | None = None
    for mark in (*marks, RepeatMark(end, divides=True)):
        if open_ending:
            endings.append(
                _Ending(open_ending.onset, mark.onset, open_ending.passes, mark.times > 0)
            )
            open_ending = mark if mark.passes else None
            if open_ending:
                continue
            yield _section_with_endings(start, endings)
            endings = []
        elif mark.passes and not mark.times and not mark.starts:
            open_ending = mark
            continue
        elif mark.divides and marked_start and not mark.times and mark.onset < end:
            continue  # a double bar inside a repeat whose start is marked
        else:
            times = max(mark.times, start_times) if mark.times else 1
            yield _Section(start, mark.onset, times)
            open_ending = mark if mark.passes else None
        start, marked_start, start_times = mark.onset, mark.starts, mark.start_times


def _section_with_endings(start: float, endings: list[_Ending]) -> _Section:
    times = max(number for ending in endings for number in ending.passes)
    if any(ending.repeats for ending in endings):
        times = max(times, 2)  # only a first ending: it is skipped the second time
    return _Section(start, endings[-1].end, times, tuple(endings))


def _stretches(section: _Section) -> Iterator[tuple[float, float]]:
    """Yield the stretches played of a section, pass by pass, without empty ones."""
    body_end = section.endings[0].start if section.endings else section.end
    for number in range(1, min(section.times, MOST_PASSES) + 1):
        if body_end > section.start:
            yield section.start, body_end
        for ending in section.endings:
            if number in ending.passes and ending.end > ending.start:
                yield ending.start, ending.end
