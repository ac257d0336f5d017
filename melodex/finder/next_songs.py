"""Find the songs that a student is closest to."""

from melodex.finder.chosen_songs import chosen_songs
from melodex.finder.material import knowledge_of_each, students_of, taught_material
from melodex.finder.row_limit import row_limit
from melodex.index.store import Catalogue
from melodex.lessons.next_song import closest_songs
from melodex.lessons.taught import known_to_all, repertoire_of
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.known import NextSong
from melodex.parsing.given_path import FilePath


def next_songs(
    catalogue: Catalogue,
    student: FilePath,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
) -> list[NextSong]:
    """List the songs of which a student, or every student of a class, can play most already.

    Parameters
    ----------
    student : str or path
        A CSV of the songs and licks that a student, or each student of a class, can play.
    limit : int or None
        How many songs at most; None for all.
    which : SongFilter
        The songs to choose from.

    Raises
    ------
    QueryError
        If the limit is less than 1.
    DescriptionError
        If the student's file is wrong; it names the line.
    UnknownValueError
        If no song has a value of the filter.
    """
    file = students_of(catalogue, student)
    chosen = chosen_songs(catalogue, which)
    repertoire = repertoire_of(taught_material(catalogue, [*chosen, *file.songs]))
    known = known_to_all(knowledge for _, knowledge in knowledge_of_each(file, repertoire))
    wanted = frozenset(chosen)
    among = {n for n, song in enumerate(repertoire.material.songs) if song in wanted}
    return closest_songs(repertoire, known, among=among, limit=row_limit(limit))
