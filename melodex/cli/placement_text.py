"""Places for a lick, for people."""

from collections.abc import Iterable, Sequence

from melodex.cli.output import notice, say
from melodex.model.placement import Placement


def print_places(placements: Sequence[Placement]) -> None:
    """Print places for people, the best first."""
    for number, placement in enumerate(placements, start=1):
        first, last = placement.first_measure, placement.last_measure
        measures = f"Measures {first}-{last}" if last > first else f"Measure {first}"
        say(f"{number}. {measures}, fit {placement.fit:.2f}, {placement.kind}")
        for reason in placement.because:
            say(f"   - {reason}")
        say(f"\nAs it is:\n{placement.replaces}\n\nWith the lick:\n{placement.tab}\n")
    if not placements:
        notice("There is no other place for it.")


def print_remarks(remarks: Iterable[str]) -> None:
    """Tell what else there is to say, on standard error."""
    for remark in remarks:
        notice(remark)
