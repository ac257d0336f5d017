"""Summarise what the songs of a repertoire teach together."""

from collections import defaultdict
from collections.abc import Sequence
from itertools import combinations

from melodex.lessons.lick_uses import lick_uses
from melodex.lessons.overlap import Overlap, in_beats, shared_pairs
from melodex.model.results.audit import AloneSong, AuditedSong, NearDuplicate, Overview, Tune
from melodex.model.results.material import Material

OFTEN = 2  # songs that teach a lick


def overview_of(overlap: Overlap, songs: Sequence[int], alike: Sequence[NearDuplicate]) -> Overview:
    """Return what some songs share, repeat and teach only once.

    Parameters
    ----------
    songs : sequence of int
        Their indices in the material, ascending.
    alike : sequence of NearDuplicate
        All pairs of songs that are similar as wholes; may include other songs.
    """
    material = overlap.material
    chosen = frozenset(material.songs[song] for song in songs)
    pairs = shared_pairs(overlap, combinations(songs, 2))
    sharing = {song for pair in pairs for song in (pair.song_a, pair.song_b)}
    uses = lick_uses(material, songs)
    return Overview(
        songs=tuple(_audited(overlap, song, songs) for song in songs),
        tunes=tunes_with_versions(material, songs),
        pairs=pairs,
        near_duplicates=tuple(pair for pair in alike if {pair.song_a, pair.song_b} <= chosen),
        taught_often=tuple(use for use in uses if use.songs >= OFTEN),
        taught_once=tuple(use for use in uses if use.songs < OFTEN),
        alone=tuple(
            AloneSong(material.songs[song], material.titles[song], in_beats(overlap.beats[song]))
            for song in songs
            if material.songs[song] not in sharing
        ),
    )


def tunes_with_versions(material: Material, songs: Sequence[int]) -> tuple[Tune, ...]:
    """Return the versions of each tune, in the order of their first songs."""
    versions: defaultdict[int, list[int]] = defaultdict(list)
    for song in songs:
        versions[material.tunes[song]].append(song)
    return tuple(
        Tune(
            title=material.titles[of_tune[0]],
            songs=tuple(material.songs[song] for song in of_tune),
            titles=tuple(material.titles[song] for song in of_tune),
        )
        for of_tune in versions.values()
    )


def _audited(overlap: Overlap, song: int, songs: Sequence[int]) -> AuditedSong:
    material = overlap.material
    known = overlap.taught_by(other for other in songs if other != song)
    return AuditedSong(
        song=material.songs[song],
        title=material.titles[song],
        beats=in_beats(overlap.beats[song]),
        shared=overlap.share(song, overlap.beats_known(song, known)),
    )
