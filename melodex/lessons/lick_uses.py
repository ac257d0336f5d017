"""Which of some songs teach each lick, and in which it comes first."""

from collections import defaultdict
from collections.abc import Sequence

from melodex.lessons.overlap import in_beats
from melodex.model.results.audit import LickUse
from melodex.model.results.material import Material


def lick_uses(material: Material, songs: Sequence[int]) -> list[LickUse]:
    """List the licks that some songs teach, by most tunes first, ties by songs and places."""
    chosen = frozenset(songs)
    places: defaultdict[int, list[tuple[int, int, int]]] = defaultdict(list)
    for song, lick, first, end in material.lick_places.tolist():
        if song in chosen:
            places[lick].append((song, first, end))
    uses = [_use(material, lick, sorted(of_lick)) for lick, of_lick in sorted(places.items())]
    return sorted(uses, key=lambda use: (-use.tunes, -use.songs, -use.places))


def _use(material: Material, lick: int, places: list[tuple[int, int, int]]) -> LickUse:
    songs = sorted({song for song, _, _ in places})
    song, first, end = places[0]
    begin = int(material.first_parts[song])
    leveled = [(level, song) for song in songs if (level := material.level(song)) is not None]
    first_level, first_song = min(leveled, default=(None, None))
    return LickUse(
        lick=material.licks[lick],
        beats=in_beats(material.durations[begin + first : begin + end].sum()),
        songs=len(songs),
        tunes=len({material.tunes[song] for song in songs}),
        places=len(places),
        taught_in=tuple(material.songs[song] for song in songs),
        titles=tuple(material.titles[song] for song in songs),
        first_in=None if first_song is None else material.titles[first_song],
        first_level=first_level,
        first_estimated=first_song is not None and material.levels[first_song] is None,
    )
