"""Where composed licks may stand: on long notes, between one melody note and the next."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from melodex.banjo.arranger.composed_licks import FILLS, TAGS, ComposedLick
from melodex.banjo.arranger.roll_slots import SlottedMeasure
from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.arranger.stroke_moments import StrokeMoment
from melodex.banjo.arranger.strokes import Stroke

_OFFERED = (*FILLS, *TAGS)
_LONGEST = max(len(lick.steps) for lick in _OFFERED)
_TURNS = 2  # every other lick of the stock is due on every other long note
_APART = 2  # measures from one lick to the next at least. Common practice, no source.
_SHARE_OF_LONG_NOTES = 2  # a note of half a measure is long


def lick_strokes(
    moments: Sequence[StrokeMoment], measures: Sequence[SlottedMeasure], *, slurs: bool
) -> list[list[Stroke]]:
    """List for each moment the strokes of licks that may stand there.

    A fill ends where the next melody note begins, a tag with the pinch that closes the tune. None
    has a note that is a half-step from a tone of the chord that sounds with it, and each ends on
    a tone of its chord. Of long notes that follow each other closely one has licks.

    Parameters
    ----------
    slurs : bool
        Whether the left hand may sound notes by itself.
    """
    found: list[list[Stroke]] = [[] for _ in moments]
    for turn, (begin, end) in enumerate(_spaced(_long_stretches(moments, measures), moments)):
        for number, lick in enumerate(_OFFERED):
            first = end - len(lick.steps)
            if first < begin or (lick.slurs and not slurs):
                continue
            after = moments[end] if end < len(moments) else None
            if _fits(lick, moments[first:end], after):
                for step, stroke in enumerate(_strokes(lick, number, turn)):
                    found[first + step].append(stroke)
    return found


def _long_stretches(
    moments: Sequence[StrokeMoment], measures: Sequence[SlottedMeasure]
) -> Iterator[tuple[int, int]]:
    """List the stretches of free slots, from and to, of notes that last half a measure or more."""
    begin = 0
    for place in range(len(moments) + 1):
        if place < len(moments) and moments[place].pitch is None:
            continue
        half = measures[moments[place - 1].measure].full / _SHARE_OF_LONG_NOTES
        if place > begin and place - begin + 1 >= half:
            yield begin, place
        begin = place + 1


def _spaced(
    stretches: Iterable[tuple[int, int]], moments: Sequence[StrokeMoment]
) -> list[tuple[int, int]]:
    """Choose the opening and the close, and of all others the longest, two measures apart.

    So licks stand at the ends of phrases, and most measures keep their roll.
    """
    chosen: list[tuple[int, int]] = []
    ends: list[tuple[int, int]] = []
    for begin, end in sorted(stretches, key=lambda each: each[0] - each[1]):
        measure = moments[begin].measure
        if begin == 0 or moments[end - 1].is_last_pinch:
            ends.append((begin, end))
        elif all(abs(measure - moments[other].measure) >= _APART for other, _ in chosen):
            chosen.append((begin, end))
    return sorted(ends + chosen)


def _fits(lick: ComposedLick, moments: Sequence[StrokeMoment], after: StrokeMoment | None) -> bool:
    if lick.ends_in_a_pinch != moments[-1].is_last_pinch:
        return False
    follows = None if after is None or after.pitch is None else after.pitch % 12
    if lick.leads_to is not None and lick.leads_to != follows:
        return False
    if not lick.steps[-1].pitch_classes <= moments[-1].tones:
        return False
    return not any(
        _rubs(pitch_class, moment.tones)
        for step, moment in zip(lick.steps, moments, strict=True)
        for pitch_class in step.pitch_classes
    )


def _rubs(pitch_class: int, tones: frozenset[int]) -> bool:
    neighbours = {(pitch_class + 1) % 12, (pitch_class - 1) % 12}
    return pitch_class not in tones and bool(neighbours & tones)


def _strokes(lick: ComposedLick, number: int, turn: int) -> Iterator[Stroke]:
    """Return a lick's strokes, each of which leads on to the next alone."""
    last = len(lick.steps) - 1
    links = [0, *(1 + number * _LONGEST + step for step in range(last)), 0]
    for step, (follows, leads_to) in zip(lick.steps, pairwise(links), strict=True):
        cost = ARRANGING.held_fret * sum(place.fret > 0 for place in step.places)
        if not follows:
            cost += ARRANGING.lick + ARRANGING.lick_out_of_turn * ((number + turn) % _TURNS)
        yield Stroke(step.places, step.fingers, lick.position, cost, follows, leads_to)
