"""Find the songs that a student is closest to."""

from collections.abc import Iterable, Sequence

from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.finder.row_limit import row_limit
from melodex.finder.teaching.catalogue_material import MaterialGatherer, no_progress
from melodex.finder.teaching.song_passages import SongProgress
from melodex.finder.teaching.students import students_of
from melodex.finder.teaching.versions import KNOWN_OF_EACH
from melodex.index.store import Catalogue
from melodex.lessons.knowledge import Known, is_known, knowledge_of, known_to_all, share_known
from melodex.lessons.next_song import closest_songs, next_song
from melodex.lessons.student_file import skills_in
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.known import NextSong
from melodex.model.results.material import Material
from melodex.parsing.given_path import FilePath


def next_songs(
    catalogue: Catalogue,
    student: FilePath,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    progress: SongProgress = no_progress,
) -> list[NextSong]:
    """List the songs of which a student, or every student of a class, can play most already.

    Versions of known tunes come after all others.

    What each song has in common with all others is kept beside the catalogue: in a catalogue of
    thousands, the first run takes seconds for each known and each listed song.

    Parameters
    ----------
    student : str or path
        A CSV of the songs and licks that a student, or each student of a class, can play.
    limit : int or None
        How many songs at most; None for all.
    which : SongFilter
        The songs to choose from.
    progress : callable
        Called after each song that is compared with the others.

    Raises
    ------
    QueryError
        If the limit is less than 1.
    DescriptionError
        If the student's file is wrong; it names the line.
    UnknownValueError
        If no song has a value of the filter.
    """
    limit = row_limit(limit)
    file = students_of(catalogue, student)
    chosen = frozenset(chosen_songs(catalogue, which))
    every_song = [song for song, _ in catalogue.titles()]
    gatherer = MaterialGatherer(catalogue)
    compared, at_most = len(file.songs), len(chosen) if limit is None else min(limit, len(chosen))
    material = gatherer.gather(
        every_song,
        sources=file.songs,
        licks_of=file.songs if file.has_licks else (),
        progress=lambda done, songs: progress(done, songs + at_most),
    )
    skills = skills_in(file, material.licks)
    known = known_to_all([knowledge_of(skill, material) for skill in skills], material)
    among = [number for number, song in enumerate(material.songs) if song in chosen]
    versions = _versions_known(gatherer, material, known, file.songs)
    closest = closest_songs(material, known, among=among, versions=versions, limit=limit)
    licks = _licks_by_song(gatherer, [material.songs[number] for number in closest], file.songs)
    found: list[NextSong] = []
    for done, number in enumerate(closest, start=1):
        song = material.songs[number]
        taught = gatherer.passages_from(song, material)
        version_of = versions.get(number, ())
        found.append(next_song(material, number, known, licks[song], taught, version_of=version_of))
        progress(compared + done, compared + len(closest))
    return found


def _versions_known(
    gatherer: MaterialGatherer, material: Material, known: Known, songs: Iterable[str]
) -> dict[int, tuple[str, ...]]:
    """Return the known songs of which each song is a version, by the song's number.

    Only songs of which enough is known can be versions, so few are compared.
    """
    numbers = {song: number for number, song in enumerate(material.songs)}
    learned = [song for song in songs if is_known(material, numbers[song], known)]
    mostly = gatherer.possible_versions(
        learned,
        (
            song
            for song, number in numbers.items()
            if song not in learned and (share_known(material, number, known) or 0.0) > KNOWN_OF_EACH
        ),
    )
    compared = gatherer.gather(
        [*learned, *mostly], sources=[*learned, *mostly], licks_of=(), versions=True
    )
    tunes = dict(zip(compared.songs, compared.tunes, strict=True))
    versions = {
        numbers[song]: tuple(other for other in learned if tunes[other] == tunes[song])
        for song in mostly
    }
    return {number: of for number, of in versions.items() if of}


def _licks_by_song(
    gatherer: MaterialGatherer, songs: Sequence[str], known: Sequence[str]
) -> dict[str, list[tuple[str, range]]]:
    """Find the licks that some songs share with each other or with known songs."""
    material = gatherer.gather([*songs, *known], sources=())
    licks: dict[str, list[tuple[str, range]]] = {song: [] for song in material.songs}
    places: list[list[int]] = material.lick_places.tolist()
    for song, lick, first, end in places:
        licks[material.songs[song]].append((material.licks[lick], range(first, end)))
    return licks
