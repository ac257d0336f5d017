"""Match: one song that answers a lick, as a search returns it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Match:
    """Where and how closely a song answers a lick.

    What is not known is None.
    """

    song: str
    title: str
    first_measure: int  # as written, a pickup is 0
    last_measure: int  # as written; smaller than the first where a repeat lies between
    measures: tuple[int, ...]  # in the order played
    transposition: int  # half-steps from the lick up to the song
    score: float | None  # 1 for the same notes in the same rhythm; defined in the README
    cost: int | None  # half-steps of difference along the cheapest warping path
    expected_by_chance: float | None
    form: str  # in which form the song has the lick: "as written", "doubled", ...
    alignment: tuple[tuple[int, int], ...]  # (note of the lick, note of the song), from 0
    places: int  # how many such places the song has


@dataclass(frozen=True, slots=True)
class ShapeMatch:
    """Where and how closely a song moves as a shape does; what a shape does not say is None."""

    song: str
    title: str
    first_measure: int  # as written, a pickup is 0
    last_measure: int  # as written; smaller than the first where a repeat lies between
    measures: tuple[int, ...]  # in the order played
    transposition: None  # a shape has no key
    score: float  # the share of the shape's moves that the song follows
    cost: None  # a shape has no intervals
    expected_by_chance: float
    form: str  # "shape"
    alignment: tuple[tuple[int, int], ...]  # (note of the shape, note of the song), from 0
    places: int  # how many such places the song has
