"""Why a song stands where it stands: what is new in it, and what returns from where."""

from collections.abc import Sequence

from melodex.lessons.taught import Knowledge, Repertoire, spans_of
from melodex.model.lesson import Lesson, Reason

BACK, KNOWN, NEW = "back", "known", "new"


def explained_lessons(
    repertoire: Repertoire, order: Sequence[int], known: Knowledge
) -> tuple[Lesson, ...]:
    """Tell lesson by lesson what is new and what returns, in measures.

    Parameters
    ----------
    order : sequence of int
        Numbers of songs in the material.
    """
    latest: dict[int, tuple[int, int]] = {}  # the last lesson, from 1, that had a lick; its song
    lessons: list[Lesson] = []
    for number, song in enumerate(order, start=1):
        reasons = {
            lick: _reason_of(repertoire, lick, song, latest.get(lick), known)
            for lick in repertoire.taught[song].places
        }
        lessons.append(_lesson_of(repertoire, number, song, reasons, known))
        latest.update(dict.fromkeys(reasons, (number, song)))
    return tuple(lessons)


def _reason_of(
    repertoire: Repertoire,
    lick: int,
    song: int,
    latest: tuple[int, int] | None,
    known: Knowledge,
) -> Reason:
    name, places = repertoire.material.licks[lick], repertoire.taught[song].places[lick]
    if latest is not None:
        lesson, before = latest
        return Reason(name, BACK, places, lesson, *_place_in(repertoire, before, lick))
    if lick not in known.licks:
        return Reason(name, NEW, places)
    for before in sorted(known.songs - {song}):
        if lick in repertoire.taught[before].places:
            return Reason(name, KNOWN, places, None, *_place_in(repertoire, before, lick))
    return Reason(name, KNOWN, places)


def _place_in(
    repertoire: Repertoire, song: int, lick: int
) -> tuple[str, tuple[tuple[int, int], ...]]:
    return repertoire.material.songs[song], repertoire.taught[song].places[lick]


def _lesson_of(
    repertoire: Repertoire, number: int, song: int, reasons: dict[int, Reason], known: Knowledge
) -> Lesson:
    material, singles = repertoire.material, repertoire.taught[song].singles
    if song in known.songs:
        singles = {}
    length = {lick: int(material.lick_measures[lick]) for lick in reasons}
    new = sum(length[lick] for lick, reason in reasons.items() if reason.state == NEW)
    from_last = [lick for lick, reason in reasons.items() if reason.from_lesson == number - 1]
    because = sorted(reasons.values(), key=lambda reason: -(reason.from_lesson or 0))
    because.sort(key=lambda reason: reason.state == NEW)
    if singles:
        spans = spans_of(measure for measures in singles.values() for measure in measures)
        because.append(Reason(None, NEW, spans))
    return Lesson(
        lesson=number,
        song=material.songs[song],
        title=material.titles[song],
        level=material.levels[song],
        reused=sum(length.values()) - new,
        reused_from_last=sum(length[lick] for lick in from_last),
        new=len(singles) + new,
        because=tuple(because),
    )
