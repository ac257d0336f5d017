"""Match: a song that matches a lick or a shape, as returned by a search."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Match:
    """Where and how closely a song matches a lick; unknown values are None."""

    song: str
    title: str
    first_measure: int  # as written; a pickup is 0
    last_measure: int  # as written; smaller than the first if there is a repeat in between
    measures: tuple[int, ...]  # in the order played
    transposition: int  # half-steps from the lick to the song; up is positive
    score: float | None  # 1 for the same notes in the same rhythm; defined in the README
    cost: int | None  # cost of the cheapest warping path, in half-steps
    expected_by_chance: float | None
    form: str  # the form of the lick found in the song: "as written", "doubled", ...
    alignment: tuple[tuple[int, int], ...]  # (note of the lick, note of the song), from 0
    places: int  # number of such places in the song


@dataclass(frozen=True, slots=True)
class ShapeMatch:
    """Where and how closely a song follows a shape; what a shape does not have is None."""

    song: str
    title: str
    first_measure: int  # as written; a pickup is 0
    last_measure: int  # as written; smaller than the first if there is a repeat in between
    measures: tuple[int, ...]  # in the order played
    transposition: None  # a shape has no key
    score: float  # the share of the shape's moves that the song follows
    cost: None  # a shape has no intervals
    expected_by_chance: float
    form: str  # "shape"
    alignment: tuple[tuple[int, int], ...]  # (note of the shape, note of the song), from 0
    places: int  # number of such places in the song
