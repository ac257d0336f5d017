"""A lesson plan as handouts: a sheet for the whole, then one for each lesson."""

from collections.abc import Iterator, Mapping, Sequence
from math import ceil
from typing import NamedTuple

from melodex.engraving.engrave_song import PhraseMark
from melodex.model.results.lesson import Lesson, LessonPlan, Reason, Span
from melodex.model.song import Song
from melodex.model.weekly_dates import date_in_words
from melodex.report.estimate_words import level_in_words
from melodex.report.figures import Figure, ShownSong, song_figure
from melodex.report.html_page import html_page
from melodex.report.lesson_words import (
    TIME_IN_WORDS,
    percent_in_words,
    quarter_notes,
    review_in_words,
    spans_in_words,
    stage_in_words,
)
from melodex.report.phrase_marks import phrase_letter

MOST_RETURNS = 6  # places named where passages come back
# A sheet of A4 as report.css prints it, measured in Chromium, in CSS pixels of 1/96 inch. Where the
# fonts that it names are missing, as on many servers, DejaVu Serif stands in, a sixth wider: a line
# then holds fewer characters, and a caption takes two lines.
_SHEET, _HEADINGS, _TEXT_LINE, _CAPTION = 970, 170, 21, 44
_CHARACTERS = 75  # of a line of text
_EM, _LINE = 9.5, 70  # pixels of an em of printed music, and ems that a line of it takes
_LETTER, _BETWEEN = 0.9, 2.5  # ems of a caption's letter, and between two pictures
_LONGEST = 4  # measures of one picture, a line of music


class LessonSheet(NamedTuple):
    """What a lesson's sheet says."""

    lesson: Lesson
    facts: str
    practice: tuple[str, ...]
    figures: tuple[Figure, ...]
    returns: tuple[str, ...]  # where passages of it come back
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
        "printed_plan.html",
        title=f"Lesson plan: {len(plan.lessons)} lesson{'s'[: len(plan.lessons) != 1]}",
        lessons=[_row(lesson) for lesson in plan.lessons],
        has_dates=plan.limits.first_date is not None,
        lessons_in_all=len(plan.lessons) + len(plan.reviews),
        reviews=_reviews(plan),
        time_in_words=TIME_IN_WORDS,
        sheets=[_sheet(plan, lesson, songs[lesson.song]) for lesson in plan.lessons],
        aims=[*map(stage_in_words, plan.stages), *(f"Broken: {limit}" for limit in plan.broken)],
    )


def _row(lesson: Lesson) -> dict[str, object]:
    """Return a lesson's row of the table of all."""
    return {
        "number": lesson.lesson,
        "date": "" if lesson.date is None else date_in_words(lesson.date),
        "title": lesson.title,
        "level": level_in_words(lesson.level, lesson.suggested_level),
        "known": percent_in_words(lesson.share),
        "from_last": percent_in_words(lesson.share_from_last),
        "new": f"{lesson.new:g}",
    }


def _reviews(plan: LessonPlan) -> list[str]:
    titles = {lesson.song: lesson.title for lesson in plan.lessons}
    return [review_in_words(review, titles) for review in plan.reviews]


def _sheet(plan: LessonPlan, lesson: Lesson, shown: ShownSong) -> LessonSheet:
    letters = _letters(lesson)
    marks = {letter: _mark(shown.song, letter, reason) for reason, letter in letters.items()}
    practice, returns = list(_practice(lesson, letters)), _returns(plan, lesson)
    room = _room_for_music([*practice, *returns, *shown.remarks])
    figures, not_drawn = _figures(lesson, shown, letters, marks, room)
    return LessonSheet(
        lesson=lesson,
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
    level = level_in_words(lesson.level, lesson.suggested_level)
    facts = [
        "" if lesson.date is None else date_in_words(lesson.date),
        f"level {level}" if level else "",
        "" if song.key is None else str(song.key),
        "" if song.metre.is_free else str(song.metre),
        f"{percent_in_words(lesson.share)} known already",
        f"{quarter_notes(lesson.new)} new",
    ]
    return ", ".join(fact for fact in facts if fact)


def _letters(lesson: Lesson) -> dict[Reason, str]:
    """Assign a letter to each passage that has a name or a source, new ones first."""
    passages = [
        reason
        for reason in lesson.because
        if reason.lick is not None or reason.from_song is not None
    ]
    passages.sort(key=lambda reason: reason.state != "new")
    return {reason: phrase_letter(place) for place, reason in enumerate(passages)}


def _mark(song: Song, letter: str, reason: Reason) -> PhraseMark:
    """Mark the notes of a passage where it comes first."""
    notes = [
        note
        for note, measure in enumerate(song.melody.measures.tolist())
        if any(first <= measure <= last for first, last in reason.measures[:1])
    ]
    return PhraseMark(letter, tuple(notes))


def _practice(lesson: Lesson, letters: Mapping[Reason, str]) -> Iterator[str]:
    """List what to practise, in order: what is known, what is new, all of it."""
    for reason in lesson.because:
        if reason.state != "new" and reason in letters:
            yield f"Warm up on {_place(reason, letters)}: you know it{_from(reason)}."
    for reason in lesson.because:
        if reason.state == "new" and reason in letters:
            yield f"Learn {_place(reason, letters)}: slowly, until it runs by itself."
    for reason in lesson.because:
        if reason.state == "new" and reason not in letters:
            yield f"Learn {spans_in_words(reason.measures)}, one measure at a time."
    yield "Then play the whole song, and go back to the measures where you stop."


def _place(reason: Reason, letters: Mapping[Reason, str]) -> str:
    name = "" if reason.lick is None else f" ({reason.lick})"
    return f"{letters[reason]}{name} in {spans_in_words(reason.measures)}"


def _from(reason: Reason) -> str:
    if reason.from_lesson is None:
        return " already"
    return f" from lesson {reason.from_lesson}, {spans_in_words(reason.from_measures)}"


def _room_for_music(texts: Sequence[str]) -> float:
    """Return how high the music of a sheet may be, in ems of printed music."""
    lines = sum(ceil(len(text) / _CHARACTERS) for text in texts)
    return (_SHEET - _HEADINGS - _TEXT_LINE * lines) / _EM


def _figures(
    lesson: Lesson,
    shown: ShownSong,
    letters: Mapping[Reason, str],
    marks: Mapping[str, PhraseMark],
    room: float,
) -> tuple[list[Figure], list[Span]]:
    """Engrave what is new, licks first, as far as a sheet holds it; tell what it does not hold."""
    figures: list[Figure] = []
    left_of_line, line_height = 0.0, 0.0
    places = list(_new_places(lesson, letters))
    for number, (name, span) in enumerate(places):
        music = song_figure(
            shown,
            f"{name or 'New'}, {spans_in_words([span])}",
            prefix=f"lesson-{lesson.lesson}-{number}",
            measures=span,
            marks=[marks[name[0]]] if name else [],
        )
        lines = music.sizes.widths(_LINE)
        width = max(*lines, _LETTER * len(music.caption)) + _BETWEEN
        if width > left_of_line:
            left_of_line, line_height = _LINE, 0.0
        higher = max(0.0, len(lines) * music.sizes.height + _CAPTION / _EM - line_height)
        if figures and higher > room:
            return figures, [span for _, span in places[number:]]
        room, line_height = room - higher, line_height + higher
        left_of_line -= width
        figures.append(music)
    return figures, []


def _not_drawn(spans: Sequence[Span]) -> list[str]:
    if not spans:
        return []
    return [f"Not drawn on this sheet: {spans_in_words(spans)}; see the whole song."]


def _new_places(lesson: Lesson, letters: Mapping[Reason, str]) -> Iterator[tuple[str, Span]]:
    """Yield each new lick's first place under its letter, then other new stretches."""
    new = [reason for reason in lesson.because if reason.state == "new"]
    for reason in new:
        if reason in letters:
            yield f"{letters[reason]}: {reason.lick}", reason.measures[0]
    for reason in new:
        if reason not in letters:
            for first, last in reason.measures:
                for begin in range(first, last + 1, _LONGEST):
                    yield "", (begin, min(begin + _LONGEST - 1, last))


def _returns(plan: LessonPlan, lesson: Lesson) -> list[str]:
    """List where later lessons take up passages of this song."""
    returns = [
        f"{spans_in_words(reason.from_measures)} in lesson {later.lesson}, {later.title}, "
        f"{spans_in_words(reason.measures)}"
        for later in plan.lessons
        for reason in later.because
        if reason.from_lesson == lesson.lesson
    ]
    more = len(returns) - MOST_RETURNS
    return [*returns[:MOST_RETURNS], *([f"and {more} more"] if more > 0 else [])]
