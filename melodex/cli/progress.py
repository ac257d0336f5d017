"""How far long work has come, on standard error."""

import sys
import time
from collections.abc import Callable, Generator
from contextlib import contextmanager

from melodex.cli.terminal import notice

WORTH_A_NOTICE = 5.0  # seconds
SEARCHED_LONG = 12  # songs; fewer are put in order within a few seconds


@contextmanager
def comparing_songs() -> Generator[Callable[[int, int], None]]:
    """Show how many songs have been compared; where no terminal is, say once that it takes time.

    Yields
    ------
    callable
        To be called with the songs compared so far and all of them.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    if not sys.stderr.isatty():
        yield _notice_once()
        return
    with Progress(
        TextColumn("Comparing songs"),
        BarColumn(),
        TextColumn("{task.completed} of {task.total}"),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task("comparing", total=None)
        yield lambda done, songs: bar.update(task, completed=done, total=songs)


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
    """Tell how long it will take once two songs are compared; the first may load much else."""
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
