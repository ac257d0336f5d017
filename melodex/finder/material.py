"""What songs of a catalogue teach: their licks and single measures, as lessons take them."""

from collections.abc import Iterable

import numpy as np

from melodex.finder.taught_licks import recurring_places
from melodex.index.song_names import song_named
from melodex.index.store import Catalogue
from melodex.lessons.student_file import StudentFile, read_student_file, skills_in
from melodex.lessons.taught import Knowledge, Repertoire, knowledge_of
from melodex.model.material import Material
from melodex.model.song import Song
from melodex.parsing.given_path import FilePath, path_of

PICKUP = 0  # an incomplete measure; who can play the first full one can play it too


def taught_material(catalogue: Catalogue, songs: Iterable[str]) -> Material:
    """Gather what some songs teach.

    Parameters
    ----------
    songs : iterable of str
        Ids; each counts once.

    Raises
    ------
    SongNotFoundError
        If no song has an id given.
    """
    ids = sorted(set(songs))
    entries = [catalogue.entry(song) for song in ids]
    licks, lick_measures, places = recurring_places(catalogue, ids)
    measures = [
        (number, *row)
        for number, song in enumerate(ids)
        for row in measures_of(catalogue.song(song))
    ]
    return Material(
        songs=tuple(ids),
        titles=tuple(entry.title for entry in entries),
        levels=tuple(entry.level for entry in entries),
        licks=licks,
        lick_measures=lick_measures,
        places=places,
        measures=np.array(measures, np.int32).reshape(-1, 3),
    )


def measures_of(song: Song) -> list[tuple[int, int]]:
    """List a song's measures but the pickup, each with the first that has the same notes.

    Examples
    --------
    A song of which the third measure is the first again gives [(1, 1), (2, 2), (3, 1)].
    """
    melody = song.melody
    starts = dict(zip(song.measures.numbers.tolist(), song.measures.onsets.tolist(), strict=True))
    notes: dict[int, list[tuple[float, float, int]]] = {number: [] for number in starts}
    for measure, onset, duration, pitch in zip(
        melody.measures.tolist(),
        melody.onsets.tolist(),
        melody.durations.tolist(),
        melody.pitches.tolist(),
        strict=True,
    ):
        notes[measure].append((round(onset - starts[measure], 6), round(duration, 6), pitch))
    first_with: dict[tuple[tuple[float, float, int], ...], int] = {}
    return [
        (measure, first_with.setdefault(tuple(there), measure))
        for measure, there in notes.items()
        if measure != PICKUP
    ]


def students_of(catalogue: Catalogue, path: FilePath) -> StudentFile:
    """Read a student's file; its songs may be named by id, title or a part of only one title.

    Raises
    ------
    DescriptionError
        If the file is wrong; it names the line.
    """
    titles = catalogue.titles()
    return read_student_file(path_of(path), song_named=lambda name: song_named(name, titles))


def knowledge_of_each(file: StudentFile, repertoire: Repertoire) -> list[tuple[str, Knowledge]]:
    """Give each student's name and what of a repertoire he or she knows."""
    skills = skills_in(file, repertoire.material.licks)
    return [(skill.student, knowledge_of(skill, repertoire)) for skill in skills]
