"""How far long work has come, on standard error."""

import sys
import time
from collections.abc import Callable, Generator
from contextlib import contextmanager

from melodex.cli.terminal import notice

WORTH_A_NOTICE = 5.0  # seconds
MANY_SONGS = 3_000  # of so many, twenty licks take some seconds (tests/benchmarks/licks)
SEARCHED_LONG = 12  # songs; fewer are put in order within a few seconds


@contextmanager
def comparing_songs() -> Generator[Callable[[int, int], None]]:
    """Show how many songs have been compared; where no terminal is, say once that it takes time.

    Yields
    ------
    callable
        To be called with the songs compared so far and all of them.
    """
    if not sys.stderr.isatty():
        yield _notice_once()
        return
    with _bar("{task.completed} of {task.total}", knows_its_end=True) as update:
        yield update


@contextmanager
def looking_for_licks(songs: int) -> Generator[Callable[[int, int], None]]:
    """Show how many licks have been found; where no terminal is, say once that it takes time.

    Parameters
    ----------
    songs : int
        How many are compared.

    Yields
    ------
    callable
        To be called with the licks found so far and the most that are wanted.
    """
    if not sys.stderr.isatty():
        if songs >= MANY_SONGS:
            notice(f"Comparing {songs:,} songs with each other; this may take a minute.")
        yield lambda _found, _wanted: None
        return
    with _bar("{task.completed} licks", knows_its_end=False) as update:
        yield update


@contextmanager
def step_by_step(what: str, counted: str) -> Generator[Callable[[int, int], None]]:
    """Show how far work has come that rarely takes long, where a terminal is.

    Parameters
    ----------
    what, counted : str
        What is done, "Copying", and what is counted, "pages".

    Yields
    ------
    callable
        To be called with how many are done and how many there are.
    """
    if not sys.stderr.isatty():
        yield lambda _done, _all: None
        return
    shown = f"{{task.completed}} of {{task.total}} {counted}"
    with _bar(shown, knows_its_end=True, what=what) as update:
        yield update


@contextmanager
def _bar(
    counted: str, *, knows_its_end: bool, what: str = "Comparing songs"
) -> Generator[Callable[[int, int], None]]:
    """Show a bar with what is counted, and the time that is left or, at an unknown end, passed."""
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
        TimeRemainingColumn() if knows_its_end else TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task("comparing", total=None)
        yield lambda done, wanted: bar.update(task, completed=done, total=wanted)


@contextmanager
def planning(seconds: float) -> Generator[Callable[[int, int], None]]:
    """Show how many songs have been compared, then how long many songs are put in order.

    Parameters
    ----------
    seconds : float
        How long the search takes at most.
    """
    with comparing_songs() as comparing:

        def report(done: int, songs: int) -> None:
            comparing(done, songs)
            if done == songs >= SEARCHED_LONG:
                notice(f"Looking for the best order; this takes up to {seconds:g} seconds.")

        yield report


def _notice_once() -> Callable[[int, int], None]:
    """Print how long it will take once two songs are compared; the first may load much else."""
    begun: float | None = None
    given = False

    def report(done: int, songs: int) -> None:
        nonlocal begun, given
        now = time.monotonic()
        if begun is None or done <= 1:
            begun = now
            return
        seconds = (now - begun) / (done - 1) * (songs - done)
        if not given and seconds > WORTH_A_NOTICE:
            notice(f"Comparing {songs} songs; this will take about {seconds:.0f} seconds.")
            given = True

    return report
