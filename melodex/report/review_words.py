"""What is due for review, in a teacher's words."""

from collections.abc import Iterable, Mapping

from melodex.model.results.known import DueReview


def due_in_words(due: Iterable[DueReview], labels: Mapping[str, str]) -> list[str]:
    """Describe what is due; one text a line.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id.
    """
    lines: list[str] = []
    for each in due:
        what = f'the lick "{each.lick}"' if each.song is None else labels[each.song]
        who = f"{each.student}: " if each.student else ""
        times = "once" if each.times == 1 else f"{each.times} times"
        lines.append(f"{who}{what}, taught {times}, last on {each.taught}; due since {each.due}")
    return lines
