"""What of a song a student, or every student of a class, can already play, and from where."""

from collections.abc import Sequence

from melodex.lessons.taught import Knowledge, Repertoire, known_to_all, spans_of
from melodex.model.known import KnownFrom, KnownMaterial, KnownMeasure, StudentShare

SHARE_DIGITS = 4  # beyond these a share tells nothing


def known_of_song(
    repertoire: Repertoire, song: int, students: Sequence[tuple[str, Knowledge]]
) -> KnownMaterial:
    """Say measure by measure what is known of a song.

    A measure is known if the song is, or if a known lick covers it or a measure with the same
    notes. Several students know what every one of them knows.

    Parameters
    ----------
    song : int
        Its number in the material.
    students : sequence of (name, Knowledge)
    """
    together = known_to_all(knowledge for _, knowledge in students)
    measures = tuple(
        KnownMeasure(measure, _reasons(repertoire, song, licks, together))
        for measure, licks in repertoire.taught[song].measures.items()
    )
    return KnownMaterial(
        song=repertoire.material.songs[song],
        title=repertoire.material.titles[song],
        share=share_known(repertoire, song, together),
        measures=measures,
        students=tuple(
            StudentShare(
                student=name,
                share=share_known(repertoire, song, knowledge),
                new=spans_of(new_measures(repertoire, song, knowledge)),
            )
            for name, knowledge in students
        ),
    )


def share_known(repertoire: Repertoire, song: int, known: Knowledge) -> float | None:
    """Return which part of a song's measures is known, 0 to 1; None if it has no measure."""
    measures = len(repertoire.taught[song].measures)
    if not measures:
        return None
    new = len(new_measures(repertoire, song, known))
    return round(1 - new / measures, SHARE_DIGITS)


def new_measures(repertoire: Repertoire, song: int, known: Knowledge) -> list[int]:
    """List the measures of a song that are not known."""
    if song in known.songs:
        return []
    measures = repertoire.taught[song].measures.items()
    return [measure for measure, licks in measures if known.licks.isdisjoint(licks)]


def _reasons(
    repertoire: Repertoire, song: int, licks: tuple[int, ...], known: Knowledge
) -> tuple[KnownFrom, ...]:
    material, taught = repertoire.material, repertoire.taught
    if song in known.songs:
        return (KnownFrom(material.songs[song], None, ()),)
    reasons: list[KnownFrom] = []
    for lick in (lick for lick in licks if lick in known.licks):
        teachers = [other for other in sorted(known.songs) if lick in taught[other].places]
        name = material.licks[lick]
        reasons += [
            KnownFrom(material.songs[other], name, taught[other].places[lick]) for other in teachers
        ] or [KnownFrom(None, name, ())]
    return tuple(reasons)
