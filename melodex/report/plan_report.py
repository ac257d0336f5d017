"""A lesson plan as handouts: a sheet for the whole, then one for each lesson."""

from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import NamedTuple

from melodex.model.lesson import Lesson, LessonPlan, Reason, Span
from melodex.model.song import Song
from melodex.report.engraving import PhraseMark
from melodex.report.figures import WHOLE_LINE, Figure, ShownSong, song_figure
from melodex.report.html_page import html_page
from melodex.report.lesson_words import spans_in_words, stage_in_words
from melodex.report.phrase_marks import phrase_letter

MOST_RETURNS = 6  # lessons named in which new licks come back
# A sheet of A4 as report.css prints it, measured in Chromium, in CSS pixels of 1/96 inch. Where the
# fonts that it names are missing, as on many servers, DejaVu Serif stands in, a sixth wider: a line
# then holds fewer characters, and a caption takes two lines.
_SHEET, _HEADINGS, _TEXT_LINE, _CAPTION = 970, 170, 21, 44
_CHARACTERS = 75  # of a line of text
_PRINTED = 0.65  # pixels of a printed sheet for one of music at normal size
_LONGEST = 4  # measures of one picture, a line of music


class LessonSheet(NamedTuple):
    """What a lesson's sheet says."""

    lesson: Lesson
    level: str
    facts: str
    practice: tuple[str, ...]
    figures: tuple[Figure, ...]
    returns: tuple[str, ...]  # where the new licks come back
    remarks: tuple[str, ...]
    whole: Figure


def plan_report(plan: LessonPlan, songs: Mapping[str, ShownSong]) -> str:
    """Write a plan as one HTML file, printed on a sheet for itself and one for each lesson.

    Parameters
    ----------
    songs : mapping
        The plan's songs by their ids.
    """
    return html_page(
        "plan.html",
        title=f"Lesson plan: {len(plan.lessons)} lesson{'s'[: len(plan.lessons) != 1]}",
        sheets=[_sheet(plan, lesson, songs[lesson.song]) for lesson in plan.lessons],
        aims=[*map(stage_in_words, plan.stages), *(f"Broken: {limit}" for limit in plan.broken)],
    )


def _sheet(plan: LessonPlan, lesson: Lesson, shown: ShownSong) -> LessonSheet:
    licks = [reason for reason in lesson.because if reason.lick is not None]
    licks.sort(key=lambda reason: reason.state != "new")
    letters = {reason.lick or "": phrase_letter(place) for place, reason in enumerate(licks)}
    marks = {
        letters[reason.lick or ""]: _mark(shown.song, letters[reason.lick or ""], reason.measures)
        for reason in licks
    }
    practice, returns = list(_practice(lesson, letters)), _returns(plan, lesson, letters)
    room = _room_for_music([*practice, *returns, *shown.remarks])
    figures, not_drawn = _figures(lesson, shown, letters, marks, room)
    return LessonSheet(
        lesson=lesson,
        level="" if lesson.level is None else f"{lesson.level:g}",
        facts=_facts(lesson, shown.song),
        practice=tuple(practice),
        figures=tuple(figures),
        returns=tuple(returns),
        remarks=(*_not_drawn(not_drawn), *shown.remarks),
        whole=song_figure(
            shown,
            f"{lesson.title}: the whole song",
            prefix=f"whole-{lesson.lesson}",
            marks=list(marks.values()),
        ),
    )


def _facts(lesson: Lesson, song: Song) -> str:
    facts = [
        "" if lesson.level is None else f"level {lesson.level:g}",
        "" if song.key is None else str(song.key),
        "" if song.metre.is_free else str(song.metre),
        f"{_measures(lesson.new)} new",
        f"{_measures(lesson.reused)} come back" if lesson.reused else "",
    ]
    return ", ".join(fact for fact in facts if fact)


def _measures(count: int) -> str:
    return f"{count} measure{'s'[: count != 1]}"


def _mark(song: Song, letter: str, spans: Sequence[Span]) -> PhraseMark:
    notes = [
        note
        for note, measure in enumerate(song.melody.measures.tolist())
        if any(first <= measure <= last for first, last in spans[:1])
    ]
    return PhraseMark(letter, tuple(notes))


def _practice(lesson: Lesson, letters: Mapping[str, str]) -> Iterator[str]:
    """Say what to do, in order: what is known, what is new, all of it."""
    for reason in lesson.because:
        if reason.lick is not None and reason.state != "new":
            yield f"Warm up on {_place(reason, letters)}: you know it{_from(reason)}."
    for reason in lesson.because:
        if reason.lick is not None and reason.state == "new":
            yield f"Learn {_place(reason, letters)}: slowly, until it runs by itself."
    for reason in lesson.because:
        if reason.lick is None:
            yield f"Learn {spans_in_words(reason.measures)}, one measure at a time."
    yield "Then play the whole song, and go back to the measures where you stop."


def _place(reason: Reason, letters: Mapping[str, str]) -> str:
    letter = letters[reason.lick or ""]
    return f"{letter} ({reason.lick}) in {spans_in_words(reason.measures)}"


def _from(reason: Reason) -> str:
    if reason.from_lesson is None:
        return " already"
    return f" from lesson {reason.from_lesson}, {spans_in_words(reason.from_measures)}"


def _room_for_music(texts: Sequence[str]) -> float:
    """Tell how high the music of a sheet may be, in pixels at normal size."""
    lines = sum(ceil(len(text) / _CHARACTERS) for text in texts)
    return (_SHEET - _HEADINGS - _TEXT_LINE * lines) / _PRINTED


def _figures(
    lesson: Lesson,
    shown: ShownSong,
    letters: Mapping[str, str],
    marks: Mapping[str, PhraseMark],
    room: float,
) -> tuple[list[Figure], list[Span]]:
    """Engrave what is new, licks first, as far as a sheet holds it; tell what it does not hold."""
    figures: list[Figure] = []
    left_of_line, line_height = 0, 0.0
    places = list(_new_places(lesson, letters))
    for number, (name, span) in enumerate(places):
        music = song_figure(
            shown,
            f"{name or 'New'}, {spans_in_words([span])}",
            prefix=f"lesson-{lesson.lesson}-{number}",
            measures=span,
            marks=[marks[name[0]]] if name else [],
        )
        if music.share > left_of_line:
            left_of_line, line_height = WHOLE_LINE, 0.0
        higher = max(0.0, music.height + _CAPTION / _PRINTED - line_height)
        if figures and higher > room:
            return figures, [span for _, span in places[number:]]
        room, line_height = room - higher, line_height + higher
        left_of_line -= music.share
        figures.append(music)
    return figures, []


def _not_drawn(spans: Sequence[Span]) -> list[str]:
    if not spans:
        return []
    return [f"Not drawn on this sheet: {spans_in_words(spans)}; see the whole song."]


def _new_places(lesson: Lesson, letters: Mapping[str, str]) -> Iterator[tuple[str, Span]]:
    """Give each new lick's first place under its letter, then stretches of single measures."""
    new = [reason for reason in lesson.because if reason.state == "new"]
    for reason in new:
        if reason.lick is not None:
            yield f"{letters[reason.lick]}: {reason.lick}", reason.measures[0]
    for reason in new:
        if reason.lick is None:
            for first, last in reason.measures:
                for begin in range(first, last + 1, _LONGEST):
                    yield "", (begin, min(begin + _LONGEST - 1, last))


def _returns(plan: LessonPlan, lesson: Lesson, letters: Mapping[str, str]) -> list[str]:
    new = {reason.lick for reason in lesson.because if reason.lick and reason.state == "new"}
    told = [
        f"{letters[reason.lick or '']} in lesson {later.lesson}, {later.title}, "
        f"{spans_in_words(reason.measures)}"
        for later in plan.lessons[lesson.lesson :]
        for reason in later.because
        if reason.lick in new
    ]
    more = len(told) - MOST_RETURNS
    return [*told[:MOST_RETURNS], *([f"and {more} more"] if more > 0 else [])]
