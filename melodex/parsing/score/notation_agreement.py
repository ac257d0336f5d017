"""Check whether notation beside tablature agrees with it."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping

from melodex.parsing.written_score import WrittenNote

MOST_NAMED = 5  # measures that a remark lists by number


def disagreement(
    tab: Iterable[WrittenNote],
    notations: Iterable[Iterable[WrittenNote]],
    number_at: Callable[[float], int],
) -> list[str]:
    """Remark where notation and tab differ in pitch.

    Notation may be whole octaves away from the sound, as banjo notation often is, and may omit
    notes; only notes that begin together are compared.

    Parameters
    ----------
    tab : iterable of WrittenNote
        The notes that the tab sounds.
    notations : iterable of iterables of WrittenNote
        The notation: on another staff, or as pitches beside the frets.
    number_at : callable
        The number of the measure at an onset.

    Returns
    -------
    list of str
        One sentence, or none if all agree.
    """
    sounding = _pitches_by_onset(tab)
    onsets = {
        onset
        for notation in notations
        for onset in _differing_onsets(sounding, _pitches_by_onset(notation))
    }
    if not onsets:
        return []
    measures = list(dict.fromkeys(number_at(onset) for onset in sorted(onsets)))
    return [
        f"The notation and the tab have different notes in {_listed(measures)}; the tab is read."
    ]


def _pitches_by_onset(notes: Iterable[WrittenNote]) -> dict[float, set[int]]:
    pitches: dict[float, set[int]] = {}
    for note in notes:
        if note.duration > 0:
            pitches.setdefault(note.onset, set()).add(note.pitch)
    return pitches


def _differing_onsets(
    sounding: Mapping[float, set[int]], notated: Mapping[float, set[int]]
) -> list[float]:
    common = [onset for onset in sounding if onset in notated]
    shifts = Counter(max(notated[onset]) - max(sounding[onset]) for onset in common)
    octaves = [shift for shift in shifts if shift % 12 == 0]
    usual = max(octaves, key=lambda shift: (shifts[shift], -abs(shift)), default=0)
    differing: list[float] = []
    for onset in common:
        expected = {pitch + usual for pitch in sounding[onset]}
        if not (expected <= notated[onset] or notated[onset] <= expected):
            differing.append(onset)
    return differing


def _listed(measures: list[int]) -> str:
    named = [str(measure) for measure in measures]
    if len(named) == 1:
        return f"measure {named[0]}"
    if len(named) > MOST_NAMED:
        return f"measures {', '.join(named[:MOST_NAMED])} and {len(named) - MOST_NAMED} more"
    return f"measures {', '.join(named[:-1])} and {named[-1]}"
