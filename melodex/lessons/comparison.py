"""Compare two groups of songs."""

from collections.abc import Sequence

from melodex.lessons.lick_uses import lick_uses
from melodex.lessons.overlap import (
    Overlap,
    covered_songs,
    in_beats,
    share_of,
    shared_pairs,
)
from melodex.lessons.overview import tunes_with_versions
from melodex.model.results.audit import (
    CommonTune,
    Comparison,
    Coverage,
    Group,
    GroupPair,
    LickUse,
    Tune,
)

SongIndices = Sequence[int]
"""Indices of songs in the material, ascending."""


def comparison_of(
    overlap: Overlap, a: SongIndices, b: SongIndices, names: tuple[str, str]
) -> Comparison:
    """Return what two groups of songs have in common, and what only each has.

    A song may be in both groups.
    """
    material = overlap.material
    tunes_a, tunes_b = ({material.tunes[song] for song in each} for each in (a, b))
    both = tunes_a & tunes_b
    different = {
        frozenset((one, other)): (one, other)
        for one in a
        for other in b
        if material.tunes[one] != material.tunes[other]
    }
    uses_a, uses_b = (lick_uses(material, each) for each in (a, b))
    return Comparison(
        group_a=names[0],
        group_b=names[1],
        common_tunes=common_tunes(overlap, a, b),
        common_licks=_in_both(uses_a, uses_b, lick_uses(material, sorted({*a, *b}))),
        common_passages=shared_pairs(overlap, different.values()),
        tunes_only_a=_tunes_without(overlap, a, both),
        tunes_only_b=_tunes_without(overlap, b, both),
        coverage_a=_coverage(overlap, (a, uses_a), (b, uses_b)),
        coverage_b=_coverage(overlap, (b, uses_b), (a, uses_a)),
    )


def group_pair(
    overlap: Overlap, one: tuple[Group, SongIndices], other: tuple[Group, SongIndices]
) -> GroupPair:
    """Return a comparison of two groups in numbers."""
    (group_a, a), (group_b, b) = one, other
    material = overlap.material
    licks_a, licks_b = ({use.lick for use in lick_uses(material, each)} for each in (a, b))
    tunes_a, tunes_b = ({material.tunes[song] for song in each} for each in (a, b))
    return GroupPair(
        group_a=group_a.value,
        group_b=group_b.value,
        share_a=_share_taught(overlap, a, b),
        share_b=_share_taught(overlap, b, a),
        tunes=len(tunes_a & tunes_b),
        licks=len(licks_a & licks_b),
    )


def common_tunes(overlap: Overlap, a: SongIndices, b: SongIndices) -> tuple[CommonTune, ...]:
    """Return the tunes of which both groups have versions, in the order of the first group."""
    tunes = overlap.material.tunes
    return tuple(
        _common(overlap, [n for n in a if tunes[n] == tune], [n for n in b if tunes[n] == tune])
        for tune in dict.fromkeys(tunes[song] for song in a)
        if any(tunes[song] == tune for song in b)
    )


def _common(overlap: Overlap, a: SongIndices, b: SongIndices) -> CommonTune:
    songs, titles = overlap.material.songs, overlap.material.titles
    return CommonTune(
        title=titles[a[0]],
        songs_a=tuple(songs[song] for song in a),
        titles_a=tuple(titles[song] for song in a),
        songs_b=tuple(songs[song] for song in b),
        titles_b=tuple(titles[song] for song in b),
        share_a=_share_taught(overlap, a, b),
        share_b=_share_taught(overlap, b, a),
    )


def _share_taught(overlap: Overlap, songs: SongIndices, others: SongIndices) -> float | None:
    """Return the share of some songs' time that others teach."""
    known = overlap.taught_by(others)
    beats = sum(float(overlap.beats[song]) for song in songs)
    return share_of(sum(overlap.beats_known(song, known) for song in songs), beats)


def _in_both(
    uses_a: Sequence[LickUse], uses_b: Sequence[LickUse], uses: Sequence[LickUse]
) -> tuple[LickUse, ...]:
    both = {use.lick for use in uses_a} & {use.lick for use in uses_b}
    return tuple(use for use in uses if use.lick in both)


def _tunes_without(overlap: Overlap, songs: SongIndices, left_out: set[int]) -> tuple[Tune, ...]:
    tunes = overlap.material.tunes
    return tunes_with_versions(
        overlap.material, [song for song in songs if tunes[song] not in left_out]
    )


def _coverage(
    overlap: Overlap,
    of: tuple[SongIndices, Sequence[LickUse]],
    by: tuple[SongIndices, Sequence[LickUse]],
) -> Coverage:
    """Return how much of one group another teaches; both given as songs and licks."""
    (songs, uses), (others, other_uses) = of, by
    covered = covered_songs(overlap, songs, others)
    taught = {use.lick for use in other_uses}
    return Coverage(
        share=_share_taught(overlap, songs, others),
        covered=in_beats(sum(song.covered for song in covered)),
        beats=in_beats(sum(song.beats for song in covered)),
        songs=covered,
        missing=tuple(use for use in uses if use.lick not in taught),
    )
