"""Progress of long work, on standard error."""

import sys
import time
from collections.abc import Callable, Generator
from contextlib import contextmanager

from melodex.cli.terminal import notice

NOTICE_ABOVE = 5.0  # seconds
MANY_SONGS = 3_000  # finding twenty licks among them takes some seconds (tests/benchmarks/licks)
SEARCHED_LONG = 12  # songs; fewer are put in order within a few seconds


@contextmanager
def comparing_songs() -> Generator[Callable[[int, int], None]]:
    """Show how many songs have been compared; without a terminal, print one notice.

    Yields
    ------
    callable
        To be called with the number of songs compared so far and the total.
    """
    if not sys.stderr.isatty():
        yield _notice_once()
        return
    with _bar("{task.completed} of {task.total}", total_known=True) as update:
        yield update


@contextmanager
def looking_for_licks(songs: int) -> Generator[Callable[[int, int], None]]:
    """Show how many licks have been found; without a terminal, print one notice.

    Parameters
    ----------
    songs : int
        How many songs are compared.

    Yields
    ------
    callable
        To be called with the number of licks found so far and the limit.
    """
    if not sys.stderr.isatty():
        if songs >= MANY_SONGS:
            notice(f"Comparing {songs:,} songs with each other; this may take a minute.")
        yield lambda _found, _wanted: None
        return
    with _bar("{task.completed} licks", total_known=False) as update:
        yield update


@contextmanager
def step_by_step(what: str, counted: str) -> Generator[Callable[[int, int], None]]:
    """Show the progress of work that rarely takes long; without a terminal, print nothing.

    Parameters
    ----------
    what, counted : str
        What is done, "Copying", and what is counted, "pages".

    Yields
    ------
    callable
        To be called with the number done so far and the total.
    """
    if not sys.stderr.isatty():
        yield lambda _done, _all: None
        return
    shown = f"{{task.completed}} of {{task.total}} {counted}"
    with _bar(shown, total_known=True, what=what) as update:
        yield update


@contextmanager
def _bar(
    counted: str, *, total_known: bool, what: str = "Comparing songs"
) -> Generator[Callable[[int, int], None]]:
    """Show a bar with a count, and the time left or, if the total is unknown, elapsed."""
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        Progress,
        TextColumn,
        TimeElapsedColumn,
        TimeRemainingColumn,
    )

    with Progress(
        TextColumn(what),
        BarColumn(),
        TextColumn(counted),
        TimeRemainingColumn() if total_known else TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task("comparing", total=None)
        yield lambda done, wanted: bar.update(task, completed=done, total=wanted)


@contextmanager
def planning(seconds: float) -> Generator[Callable[[int, int], None]]:
    """Show how many songs have been compared, then how long the search for an order may take.

    Parameters
    ----------
    seconds : float
        The time limit of that search.
    """
    with comparing_songs() as comparing:

        def report(done: int, songs: int) -> None:
            comparing(done, songs)
            if done == songs >= SEARCHED_LONG:
                notice(f"Looking for the best order; this takes up to {seconds:g} seconds.")

        yield report


def _notice_once() -> Callable[[int, int], None]:
    """Print an estimate of the time once two songs are compared; the first loads libraries too."""
    begun: float | None = None
    printed = False

    def report(done: int, songs: int) -> None:
        nonlocal begun, printed
        now = time.monotonic()
        if begun is None or done <= 1:
            begun = now
            return
        seconds = (now - begun) / (done - 1) * (songs - done)
        if not printed and seconds > NOTICE_ABOVE:
            notice(f"Comparing {songs} songs; this will take about {seconds:.0f} seconds.")
            printed = True

    return report
