"""Maximal runs by listing every stretch of every line: the slow twin."""

from collections import defaultdict


def repeated_runs(lines, shortest):
    """Map each maximal run, a tuple of symbols, to its places: (line, place in the line)."""
    places = defaultdict(set)
    for number, line in enumerate(lines):
        for begin in range(len(line)):
            for end in range(begin + 1, len(line) + 1):
                places[tuple(line[begin:end])].add((number, begin))
    several = {run: found for run, found in places.items() if len(found) > 1}
    longer = {(len(run[:-1]), frozenset(found)) for run, found in several.items()}
    longer |= {
        (len(run) - 1, frozenset((line, begin + 1) for line, begin in found))
        for run, found in several.items()
    }
    return {
        run: found
        for run, found in several.items()
        if len(run) >= shortest and (len(run), frozenset(found)) not in longer
    }
