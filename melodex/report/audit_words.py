"""What an audit found, in sentences."""

from collections.abc import Sequence

from melodex.features.measure_runs import runs_of_measures
from melodex.model.results.audit import (
    Comparison,
    Coverage,
    LickUse,
    Overview,
    TaughtTechnique,
    Tune,
)
from melodex.report.lesson_words import percent_in_words, spans_in_words


def counted(number: int, what: str) -> str:
    """Return a count with its noun.

    Examples
    --------
    >>> counted(1, "lick"), counted(12, "tune")
    ('1 lick', '12 tunes')
    """
    return f"{number} {what}{'s'[: number != 1]}"


def overview_in_words(overview: Overview) -> list[str]:
    """Sum up what some songs teach together, a sentence each."""
    songs, tunes = len(overview.songs), len(overview.tunes)
    several = sum(len(tune.songs) > 1 for tune in overview.tunes)
    often, once = len(overview.taught_often), len(overview.taught_once)
    return [
        f"{counted(songs, 'song')}, {counted(tunes, 'tune')}"
        + (f"; {several} in more than one version." if several else "."),
        f"{percent_in_words(overview.shared)} of their time another of these songs teaches too; "
        f"{counted(len(overview.alone), 'song')} "
        f"{'shares' if len(overview.alone) == 1 else 'share'} nothing.",
        f"{counted(often, 'lick')} in two songs or more, {once} in one only.",
        techniques_in_words(overview),
    ]


def techniques_in_words(overview: Overview) -> str:
    """Describe how many techniques some songs use, and of how many songs they are known."""
    if not overview.with_tab:
        return "None of these songs has tab, so their techniques are unknown."
    without = len(overview.songs) - overview.with_tab
    unknown = f"; those of {counted(without, 'song')} without tab are unknown" if without else ""
    techniques = counted(len(overview.techniques), "technique")
    return f"{techniques} in the tab of {counted(overview.with_tab, 'song')}{unknown}."


def comparison_in_words(comparison: Comparison) -> list[str]:
    """Sum up what two groups have in common and what only each has, a sentence each."""
    a, b = comparison.group_a, comparison.group_b
    tunes = len(comparison.common_tunes)
    sides = (
        (a, comparison.tunes_only_a, comparison.coverage_a),
        (b, comparison.tunes_only_b, comparison.coverage_b),
    )
    share_a, share_b = (percent_in_words(coverage.share) for *_, coverage in sides)
    sizes = "; ".join(
        f"{group}: {counted(len(coverage.songs), 'song')}, {counted(len(only) + tunes, 'tune')}"
        for group, only, coverage in sides
    )
    alone = "; ".join(
        f"only in {group}: {counted(len(only), 'tune')}, {counted(len(coverage.missing), 'lick')}"
        for group, only, coverage in sides
    )
    return [
        f"{sizes}.",
        f"In both: {counted(tunes, 'tune')}, {counted(len(comparison.common_licks), 'lick')}, "
        f"and passages shared by {counted(len(comparison.common_passages), 'pair')} of other "
        "songs.",
        f"{alone[0].upper()}{alone[1:]}.",
        f"Who has learned all of {b} can play {share_a} of {a}; "
        f"who has learned all of {a} can play {share_b} of {b}.",
    ]


def versions_in_words(titles: Sequence[str]) -> str:
    """Name the versions of a tune, each title once.

    Examples
    --------
    >>> versions_in_words(["Gate"]), versions_in_words(["Gate", "Gate"])
    ('Gate', 'Gate (2 versions)')
    >>> versions_in_words(["Gate", "Gate in Rolls"])
    'Gate; Gate in Rolls'
    """
    distinct = list(dict.fromkeys(titles))
    if len(distinct) == 1 and len(titles) > 1:
        return f"{distinct[0]} ({len(titles)} versions)"
    return "; ".join(distinct)


def first_place_in_words(use: LickUse | TaughtTechnique) -> str:
    """Name the song in which a lick or technique comes first by level, or any that has it.

    Examples
    --------
    >>> first_place_in_words(LickUse("turn", 4, 1, 1, 1, ("gate",), ("Gate",), "Gate", 1.5))
    'Gate (level 1.5)'
    """
    if use.first_in is None or use.first_level is None:
        return use.titles[0]
    return f"{use.first_in} (level {use.first_level:g}{', estimated' * use.first_estimated})"


def taught_in_words(technique: TaughtTechnique) -> str:
    """Name the songs that teach a technique, with the measures."""
    return ", ".join(
        f"{title} ({spans_in_words(runs_of_measures(measures))})" if measures else title
        for title, measures in zip(technique.titles, technique.measures, strict=True)
    )


def tunes_least_covered(
    tunes: Sequence[Tune], coverage: Coverage
) -> list[tuple[Tune, float | None]]:
    """Return tunes with the part of their first versions that is covered, the least first."""
    share_of = {song.song: song.share for song in coverage.songs}
    with_shares = [(tune, share_of[tune.songs[0]]) for tune in tunes]
    return sorted(with_shares, key=lambda each: (each[1] is None, each[1] or 0.0))
