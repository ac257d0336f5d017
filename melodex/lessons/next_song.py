"""Which songs are closest to what a student can play, and to which others each opens the way."""

from collections.abc import Collection

from melodex.lessons.known import new_measures, share_known
from melodex.lessons.taught import Knowledge, Repertoire
from melodex.model.known import NextSong

MOST_OPENED = 5  # songs named that a song opens the way to; more are not read


def closest_songs(
    repertoire: Repertoire,
    known: Knowledge,
    *,
    among: Collection[int] | None = None,
    limit: int | None = None,
) -> list[NextSong]:
    """List the songs not yet known, the best known first; then the fewest new measures, then id.

    Parameters
    ----------
    among : collection of int or None
        The songs to choose from, by their number in the material; None for all. What a song opens
        the way to may be any.
    limit : int or None
        How many songs at most; None for all.
    """
    unknown = [song for song in range(len(repertoire.taught)) if song not in known.songs]
    missing = {song: frozenset(new_measures(repertoire, song, known)) for song in unknown}
    ranked = sorted(
        (-(share_known(repertoire, song, known) or 0), _new_material(repertoire, song, known), song)
        for song in unknown
        if among is None or song in among
    )
    return [_next_song(repertoire, song, known, missing) for *_, song in ranked[:limit]]


def _new_licks(repertoire: Repertoire, song: int, known: Knowledge) -> list[int]:
    return [lick for lick in repertoire.taught[song].places if lick not in known.licks]


def _new_material(repertoire: Repertoire, song: int, known: Knowledge) -> int:
    lengths = repertoire.material.lick_measures[_new_licks(repertoire, song, known)]
    return len(repertoire.taught[song].singles) + int(lengths.sum())


def _next_song(
    repertoire: Repertoire, song: int, known: Knowledge, missing: dict[int, frozenset[int]]
) -> NextSong:
    new = _new_licks(repertoire, song, known)
    return NextSong(
        song=repertoire.material.songs[song],
        title=repertoire.material.titles[song],
        share=share_known(repertoire, song, known),
        new=_new_material(repertoire, song, known),
        new_licks=tuple(repertoire.material.licks[lick] for lick in new),
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
