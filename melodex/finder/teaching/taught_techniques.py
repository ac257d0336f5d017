"""Which of some songs teach each technique, and where it is first taught."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from melodex.finder.collection.estimates_of_songs import Estimates
from melodex.model.results.audit import Overview, TaughtTechnique
from melodex.model.results.material import Material


def with_techniques(
    overview: Overview, material: Material, songs: Sequence[int], estimates: Estimates
) -> Overview:
    """Add to an overview of songs the techniques that their tab uses.

    Parameters
    ----------
    songs : sequence of int
        The overview's songs by their numbers in the material.
    """
    uses = {song: estimates.uses(material.songs[song]) for song in songs}
    measures: defaultdict[str, dict[int, tuple[int, ...]]] = defaultdict(dict)
    for song, of_song in uses.items():
        for use in of_song or ():
            measures[use.technique][song] = use.measures

    def when(song: int) -> tuple[bool, float, str, str]:
        """Return a sort key: by level, unknown last, then by title."""
        level = material.level(song)
        return level is None, level or 0.0, material.titles[song].casefold(), material.songs[song]

    taught = [
        (min(map(when, of_songs)), technique, sorted(of_songs, key=when))
        for technique, of_songs in measures.items()
    ]
    return replace(
        overview,
        techniques=tuple(
            _taught(technique, in_order, material, measures[technique])
            for _, technique, in_order in sorted(taught)
        ),
        with_tab=sum(of_song is not None for of_song in uses.values()),
    )


def _taught(
    technique: str,
    songs: Sequence[int],
    material: Material,
    measures: dict[int, tuple[int, ...]],
) -> TaughtTechnique:
    first = songs[0]
    return TaughtTechnique(
        technique=technique,
        songs=len(songs),
        tunes=len({material.tunes[song] for song in songs}),
        first_in=material.titles[first],
        first_level=material.level(first),
        first_estimated=material.suggested_level(first) is not None,
        taught_in=tuple(material.songs[song] for song in songs),
        titles=tuple(material.titles[song] for song in songs),
        measures=tuple(measures[song] for song in songs),
    )
