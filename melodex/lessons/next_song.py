"""Which songs are closest to what a student can play, and to which others each opens the way."""

from melodex.lessons.known import new_measures, share_known
from melodex.lessons.taught import Knowledge, Repertoire
from melodex.model.known import NextSong

MOST_OPENED = 5  # songs named that a song opens the way to; more are not read


def closest_songs(repertoire: Repertoire, known: Knowledge) -> list[NextSong]:
    """List the songs not yet known, the best known first; then the fewest new measures, then id."""
    unknown = [song for song in range(len(repertoire.taught)) if song not in known.songs]
    missing = {song: frozenset(new_measures(repertoire, song, known)) for song in unknown}
    found = [_next_song(repertoire, song, known, missing) for song in unknown]
    return sorted(found, key=lambda near: (-(near.share or 0), near.new, near.song))


def _next_song(
    repertoire: Repertoire, song: int, known: Knowledge, missing: dict[int, frozenset[int]]
) -> NextSong:
    material, taught = repertoire.material, repertoire.taught[song]
    new = [lick for lick in taught.places if lick not in known.licks]
    return NextSong(
        song=material.songs[song],
        title=material.titles[song],
        share=share_known(repertoire, song, known),
        new=len(taught.singles) + int(material.lick_measures[new].sum()),
        new_licks=tuple(material.licks[lick] for lick in new),
        opens_the_way_to=_opened(repertoire, song, frozenset(new), missing),
    )


def _opened(
    repertoire: Repertoire, song: int, new: frozenset[int], missing: dict[int, frozenset[int]]
) -> tuple[str, ...]:
    gains: list[tuple[int, str]] = []
    for other, measures in missing.items():
        taught = repertoire.taught[other]
        if other == song or new.isdisjoint(taught.places):
            continue
        gain = sum(not new.isdisjoint(taught.measures[measure]) for measure in measures)
        if gain:
            gains.append((-gain, repertoire.material.songs[other]))
    return tuple(name for _, name in sorted(gains)[:MOST_OPENED])
