"""How much of a song a student, or a class, can already play."""

from melodex.finder.teaching.catalogue_material import MaterialGatherer
from melodex.finder.teaching.students import students_of
from melodex.index.store import Catalogue
from melodex.lessons.known_parts import known_of_song
from melodex.lessons.student_file import skills_in
from melodex.model.results.known import KnownMaterial
from melodex.parsing.given_path import FilePath


def known_material(catalogue: Catalogue, song: str, student: FilePath) -> KnownMaterial:
    """Return, measure by measure, how much of a song is known, and from where.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    student : str or path
        A CSV of the songs and licks that a student, or each student of a class, can play.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    song_id = catalogue.resolve(song)
    file = students_of(catalogue, student)
    material = MaterialGatherer(catalogue).gather([song_id, *file.songs])
    skills = skills_in(file, material.licks)
    metre = catalogue.song(song_id).metre
    beat = 1.0 if metre.is_free else 4 / metre.denominator
    return known_of_song(material, material.songs.index(song_id), skills, beat=beat)
