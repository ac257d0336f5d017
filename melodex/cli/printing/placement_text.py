"""Places for a lick, for people."""

from collections.abc import Iterable, Sequence

from melodex.cli.printing.list_ends import notice_if_limited
from melodex.cli.terminal import notice, print_lines
from melodex.model.results.placement import Placement


def print_places(
    placements: Sequence[Placement], heading: Iterable[str], limit: int, total: int
) -> None:
    """Print places for people, the best first, and say if there are more than the limit.

    Parameters
    ----------
    heading : iterable of str
        The lines printed once above all tabs.
    """
    if placements:
        print_lines(*heading, "")
    for number, placement in enumerate(placements, start=1):
        first, last = placement.first_measure, placement.last_measure
        measures = f"Measures {first}-{last}" if last > first else f"Measure {first}"
        print_lines(f"{number}. {measures}, fit {placement.fit:.2f}, {placement.kind}")
        print_lines(*(f"   - {reason}" for reason in placement.because))
        print_lines("", "As it is:", *placement.replaces.splitlines())
        print_lines("", "With the lick:", *placement.tab.splitlines(), "")
    notice_if_limited(len(placements), limit, "places", total=total)
    if not placements:
        notice("There is no other place for it.")


def print_remarks(remarks: Iterable[str]) -> None:
    """Print the remaining remarks on standard error."""
    notice(*remarks)
