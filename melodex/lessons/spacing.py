"""When what was taught is to be gone over again: at intervals that grow each time."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date, timedelta

from melodex.lessons.student_file import StudentLine
from melodex.model.results.known import DueReview

# Days after the first, second, ... time; from the last on it stays. Source: Pimsleur, "A memory
# schedule", Modern Language Journal 51 (1967) 73-75: 5 days, 25 days, 4 months, 2 years, the
# intervals that are no shorter than those between lessons (from memory).
INTERVALS = (5, 25, 120, 730)


def due_date(days: Collection[date]) -> date:
    """Return when something is due that was taught on some days.

    Examples
    --------
    >>> due_date([date(2027, 1, 11), date(2027, 1, 18)])
    datetime.date(2027, 2, 12)
    """
    times = len(set(days))
    return max(days) + timedelta(days=INTERVALS[min(times, len(INTERVALS)) - 1])


def due_reviews(lines: Iterable[StudentLine], on: date) -> list[DueReview]:
    """List what is due on a day, the longest overdue first; what was taught later does not count.

    Songs and licks that nobody dated are never due.
    """
    days: defaultdict[tuple[str, str, str], set[date]] = defaultdict(set)
    for line in lines:
        if line.taught is not None and line.taught <= on:
            days[line.student, line.song, line.lick].add(line.taught)
    due = [
        DueReview(student, song or None, lick or None, max(taught), len(taught), due_date(taught))
        for (student, song, lick), taught in days.items()
    ]
    due = [each for each in due if each.due <= on]
    return sorted(due, key=lambda each: (each.due, each.student, each.song or "", each.lick or ""))
