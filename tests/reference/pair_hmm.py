"""The slow, obvious twin of the compiled pair alignment: every step from every position."""

from collections.abc import Callable, Collection, Iterable, Sequence
from functools import cache
from typing import NamedTuple

from melodex.kernels.alignment_paths import JOINED, LICK_GAP, MATCH, SONG_GAP, SPLIT
from melodex.kernels.pair_alignment import Ends

NEVER = -(10**12)


class Note(NamedTuple):
    """A note of a song; both kinds are row numbers of the scores."""

    pitch: int
    kind: int
    joined_kind: int  # of this note merged with the one before


class Scores(NamedTuple):
    """Scores of the notes of a lick; ``[kind][note of the lick]`` if both matter."""

    pitch: Sequence[int]  # by half-steps apart from the middle; the ends apply beyond
    match: Sequence[Sequence[int]]
    split: Sequence[Sequence[int]]
    joined: Sequence[Sequence[int]]
    lick_gaps: Sequence[Sequence[int]]  # [first of a gap, further ones][note of the lick]
    song_gaps: Sequence[Sequence[Sequence[int]]]  # the same [kind][notes of the lick before it]


class Step(NamedTuple):
    """One step of an alignment, starting after the first i notes of the lick and j of the song."""

    move: int
    score: int
    lick_notes: int
    song_notes: int


def steps_from(
    place: tuple[int, int],
    last: int | None,
    notes: tuple[Sequence[int], Sequence[Note]],
    scores: Scores,
    transposition: int,
) -> Iterable[Step]:
    """List every step from a position, after a step of the kind ``last``."""
    (i, j), (lick, song) = place, notes
    if i < len(lick):
        first, further = (row[i] for row in scores.lick_gaps)
        yield Step(LICK_GAP, max(first, further) if last == LICK_GAP else first, 1, 0)
    if j < len(song):
        first, further = (row[song[j].kind][i] for row in scores.song_gaps)
        yield Step(SONG_GAP, max(first, further) if last == SONG_GAP else first, 0, 1)
    if i < len(lick) and j < len(song):
        reach = len(scores.pitch) // 2
        apart = song[j].pitch - lick[i] - transposition
        pitch = scores.pitch[max(-reach, min(reach, apart)) + reach]
        yield Step(MATCH, pitch + scores.match[song[j].kind][i], 1, 1)
        if j + 1 < len(song) and song[j].pitch == song[j + 1].pitch:
            yield Step(SPLIT, pitch + scores.split[song[j + 1].joined_kind][i], 1, 2)
        if i + 1 < len(lick) and lick[i] == lick[i + 1]:
            yield Step(JOINED, pitch + scores.joined[song[j].kind][i + 1], 2, 1)


def best_score(
    lick: Sequence[int],
    song: Sequence[Note],
    scores: Scores,
    ends: Ends,
    transposition: int,
    barred: Collection[tuple[int, int]] = (),
) -> int:
    """Score the best alignment at one transposition; it must not contain ``barred`` pairs."""
    may_stop: dict[Ends, Callable[[int, int], bool]] = {
        Ends.SONG: lambda i, _: i == len(lick),
        Ends.NONE: lambda i, j: i == len(lick) and j == len(song),
        Ends.BOTH: lambda _i, _j: True,
    }

    @cache
    def onward(i: int, j: int, last: int | None) -> int:
        """Return the maximum that the notes from i and j on can add."""
        ways = [0] if may_stop[ends](i, j) else [NEVER]
        for move, score, own, other in steps_from(
            (i, j), last, (lick, song), scores, transposition
        ):
            # A pair with one note for two passes through both pairs.
            passed = {(i + own - 1, j + other - 1)}
            if own and other:
                passed.add((i, j))
            if not passed & set(barred):
                ways.append(score + onward(i + own, j + other, move))
        return max(ways)

    beginnings = {
        Ends.SONG: [(0, j) for j in range(len(song) + 1)],
        Ends.NONE: [(0, 0)],
        Ends.BOTH: [(i, j) for i in range(len(lick) + 1) for j in range(len(song) + 1)],
    }
    return max(onward(i, j, None) for i, j in beginnings[ends])


def score_of_steps(
    path: Iterable[tuple[int, int, int]],
    lick: Sequence[int],
    song: Sequence[Note],
    scores: Scores,
    transposition: int,
) -> int:
    """Add up the steps (move, i, j) of an alignment; raise ``ValueError`` if one is not allowed.

    Each must begin where the previous one ended.
    """
    total, last, expected = 0, None, None
    for move, i, j in path:
        allowed = steps_from((i, j), last, (lick, song), scores, transposition)
        taken = [step for step in allowed if step.move == move]
        if not taken or expected not in {None, (i, j)}:
            raise ValueError(f"there is no step {move} from {i}, {j}")
        total += taken[0].score
        last, expected = move, (i + taken[0].lick_notes, j + taken[0].song_notes)
    return total
