"""The key in which a song is played in open G, and its octave."""

from collections.abc import Sequence

from melodex.banjo.arranger.arranging_stages import MELODY, moments_of_stage, plans_of
from melodex.banjo.arranger.roll_slots import slotted_measures
from melodex.banjo.arranger.stroke_costs import ARRANGING
from melodex.banjo.arranger.stroke_moments import stroke_moments
from melodex.banjo.arranger.stroke_search import cheapest
from melodex.banjo.arranger.strokes import Stroke
from melodex.banjo.open_g import Moved, moved_to_open_g, remarks_of
from melodex.model.song import Song


def in_best_position(song: Song, lowest: int) -> tuple[Song, list[str]]:
    """Move a song to where its melody alone costs the hands least (``StrokeCosts``).

    Every stage of an arrangement begins here, so that all are in one key.

    Parameters
    ----------
    lowest : int
        ``AT_THE_NUT``, or ``UP_THE_NECK``.

    Returns
    -------
    Song
        Its melody line, moved by half-steps.
    list of str
        What was done to it, a sentence each; nothing where nothing was.

    Raises
    ------
    MelodyError
        If it has no notes or no metre, or does not fit the neck.
    """
    ways = moved_to_open_g(song)
    has_usual = any(way.is_usual for way in ways)
    costs = [_cost(way, lowest, is_unusual=has_usual and not way.is_usual) for way in ways]
    best = ways[costs.index(min(costs))]
    return best.song, remarks_of(best, ways)


def _cost(way: Moved, lowest: int, *, is_unusual: bool) -> float:
    measures = slotted_measures(way.song)
    moments = moments_of_stage(stroke_moments(way.song, measures, ()), measures, MELODY, None)
    plans = plans_of(MELODY, None, measures, moments, slurs=False)
    no_licks: Sequence[Sequence[Stroke]] = [[] for _ in moments]
    cost = cheapest(moments, plans, no_licks, lowest).cost
    return cost + ARRANGING.unusual_position * len(moments) * is_unusual
