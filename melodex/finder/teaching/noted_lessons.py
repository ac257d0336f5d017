"""Note in a saved student's table what was taught, and read there what was taught and is due.

Each note is one change of the table, so that ``undo_change`` takes it back.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from melodex.errors import DescriptionError, PlanError, QueryError
from melodex.finder.teaching.own_work import opened_plan
from melodex.finder.teaching.students import students_in
from melodex.finder.teaching.taught_lessons import add_to_table, song_line, songs_of_lesson
from melodex.index.kept_licks import kept_lick
from melodex.index.store import Catalogue
from melodex.index.work_table import saved_work, saved_works
from melodex.lessons.plan_file import PlanFile
from melodex.lessons.spacing import due_reviews
from melodex.lessons.taught_lines import TaughtLine, read_taught
from melodex.model.results.known import DueReview
from melodex.model.saved_work import SavedWork, WorkKind


@dataclass(frozen=True, slots=True)
class Pupils:
    """A student, one of a class, or the whole class, in whose saved table lessons are noted."""

    saved: SavedWork
    names: tuple[str, ...]  # as the table has them; ("",) where it names nobody
    called: str  # for people

    @property
    def key(self) -> str:
        """What tells them from all others in a form: the id of the table, and one name or none."""
        name = self.names[0] if len(self.names) == 1 else ""
        return f"{self.saved.work} {name}".rstrip()


@dataclass(frozen=True, slots=True)
class Record:
    """What was taught to a student, or to each of a class."""

    taught: dict[str, date]  # songs by id, and when each was last taught
    due: list[DueReview]  # on the day for which it was read
    last: tuple[str, ...]  # the lines that the latest change added, which undoing takes back
    last_songs: frozenset[str]  # the songs in them, by id


def pupils_of(catalogue: Catalogue, saved: SavedWork) -> list[Pupils]:
    """List in whose name lessons can be noted in a table: the class, where it is one, and each.

    Raises
    ------
    DescriptionError
        If the table cannot be read any more; it names the line.
    """
    file = students_in(catalogue, saved.content, _called(saved))
    names = tuple(dict.fromkeys(line.student for line in file.lines if line.student))
    if len(names) <= 1:
        return [Pupils(saved, names or ("",), saved.name)]
    each = [Pupils(saved, (name,), f"{saved.name}: {name}") for name in names]
    return [Pupils(saved, names, f"{saved.name}: everyone"), *each]


def every_pupil(catalogue: Catalogue) -> list[Pupils]:
    """List everyone whose saved table can be read, as ``pupils_of`` does."""
    found: list[Pupils] = []
    for saved in saved_works(catalogue):
        if saved.kind is WorkKind.STUDENT:
            try:
                found += pupils_of(catalogue, saved)
            except DescriptionError:  # its own page says so
                continue
    return found


def pupils_with_key(pupils: Iterable[Pupils], key: str) -> Pupils:
    """Return those whose key it is.

    Raises
    ------
    QueryError
        If nobody has it.
    """
    for each in pupils:
        if each.key == key:
            return each
    raise QueryError("It is not said who was taught.", "choose a saved student.")


def record_of(catalogue: Catalogue, pupils: Pupils, on: date) -> Record:
    """Read what was taught to them, and what is due on a day.

    Raises
    ------
    DescriptionError
        If the table cannot be read any more; it names the line.
    """
    saved = pupils.saved
    lines = students_in(catalogue, saved.content, _called(saved)).lines
    ours = [line for line in lines if line.student in pupils.names]
    taught: dict[str, date] = {}
    for line in ours:
        if line.song and line.taught is not None:
            taught[line.song] = max(line.taught, taught.get(line.song, line.taught))
    written = saved.content.splitlines()
    numbers = _added(saved)
    songs = {line.song for line in lines if line.song and line.line - 1 in numbers}
    last = tuple(written[number] for number in numbers)
    return Record(taught, due_reviews(ours, on), last, frozenset(songs))


def note_song(
    catalogue: Catalogue, song: str, pupils: Pupils, day: date, *, up_to: int | None = None
) -> list[str]:
    """Note that a song was taught, and return the lines that were added.

    What is noted already is not noted again, so that a form sent twice does no harm.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name.
    DescriptionError
        If the table is wrong, or says otherwise for that day.
    """
    return _note(
        catalogue, pupils, lambda name: [song_line(catalogue, song, day, name, up_to=up_to)]
    )


def note_lick(catalogue: Catalogue, lick: str, pupils: Pupils, day: date) -> list[str]:
    """Note that a kept lick was taught, as ``note_song`` does.

    Raises
    ------
    LickNotFoundError
        If no lick is kept under that name.
    DescriptionError
        If the table is wrong.
    """
    kept_lick(catalogue, lick)
    named = " ".join(lick.split())
    return _note(catalogue, pupils, lambda name: [TaughtLine(day, name, named, is_lick=True)])


def note_lesson(
    catalogue: Catalogue, plan: str, lesson: int, pupils: Pupils, day: date
) -> list[str]:
    """Note that a lesson of a saved plan was taught, as ``note_song`` does.

    Parameters
    ----------
    plan : str
        Its id.
    lesson : int
        Its number in the plan, from 1; a review notes each song that it goes over.

    Raises
    ------
    PlanError
        If there is no such lesson, or its song is not in the catalogue any more.
    DescriptionError
        If the table is wrong.
    """
    opened = opened_plan(catalogue, plan)
    file = PlanFile(tuple(each.song for each in opened.plan.lessons), opened.plan.limits)
    songs = songs_of_lesson(file, lesson)
    if gone := [song for song in songs if song in opened.missing]:
        raise PlanError(
            f"The song '{gone[0]}' of this plan is not in the catalogue any more.",
            "take it out of the plan, or add its file again.",
        )
    return _note(
        catalogue, pupils, lambda name: [song_line(catalogue, song, day, name) for song in songs]
    )


def day_of_lesson(plan_day: date | None, today: date) -> date:
    """Return when a lesson was taught of which nothing else is known: as planned, or today."""
    return today if plan_day is None else min(plan_day, today)


def _note(
    catalogue: Catalogue, pupils: Pupils, lines_for: Callable[[str], Sequence[TaughtLine]]
) -> list[str]:
    saved = saved_work(catalogue, pupils.saved.work)
    there = saved.content.splitlines()
    lines = [str(line) for name in pupils.names for line in lines_for(name)]
    new = [line for line in dict.fromkeys(lines) if line not in there]
    if new:
        add_to_table(catalogue, saved, new, _called(saved))
    return new


def _added(saved: SavedWork) -> range:
    """Return the indices of the lines that the latest change added, if it only noted lessons."""
    before = (saved.before or "").rstrip("\n").splitlines()
    now = saved.content.splitlines()
    if saved.before is None or now[: len(before)] != before:
        return range(0)
    new = range(len(before), len(now))
    return new if all(read_taught(now[number]) for number in new) else range(0)


def _called(saved: SavedWork) -> str:
    return f"The table of '{saved.name}'"
