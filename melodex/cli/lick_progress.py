"""How far the search for recurring licks has come, on standard error."""

import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager

from melodex.cli.terminal import notice

WORTH_A_NOTICE = 3_000  # songs; of so many, twenty licks take some seconds (tests/benchmarks/licks)


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
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    if not sys.stderr.isatty():
        if songs >= WORTH_A_NOTICE:
            notice(f"Comparing {songs:,} songs with each other; this may take a minute.")
        yield lambda _found, _wanted: None
        return
    with Progress(
        TextColumn("Comparing songs"),
        BarColumn(),
        TextColumn("{task.completed} licks"),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task("comparing", total=None)
        yield lambda found, wanted: bar.update(task, completed=found, total=wanted)
