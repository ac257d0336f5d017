"""What songs of a catalogue teach each other, as lessons take it."""

from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import most_alike
from melodex.finder.near_duplicates import ALIKE
from melodex.finder.song_passages import SongPassages
from melodex.finder.song_times import song_times
from melodex.finder.taught_licks import recurring_places
from melodex.index.blocks import load_blocks
from melodex.index.song_names import song_named
from melodex.index.store import Catalogue
from melodex.lessons.student_file import StudentFile, read_student_file
from melodex.model.catalogue import SongEntry
from melodex.model.material import Material, Passages
from melodex.parsing.given_path import FilePath, path_of

Progress = Callable[[int, int], None]
"""Called with the songs compared so far and all of them."""


def no_progress(_done: int, _all: int) -> None:
    """Report nothing."""


class MaterialGatherer:
    """Gathers what songs of one state of a catalogue teach each other."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._blocks = load_blocks(catalogue)
        self._number_of = {song: number for number, song in enumerate(self._blocks.song_ids)}
        self._times = song_times(catalogue, self._blocks)
        self._passages = SongPassages(catalogue, self._blocks, self._times)

    def gather(
        self,
        songs: Iterable[str],
        *,
        sources: Iterable[str] | None = None,
        licks_of: Iterable[str] | None = None,
        versions: bool = False,
        progress: Progress = no_progress,
    ) -> Material:
        """Gather what some songs teach each other.

        Parameters
        ----------
        songs : iterable of str
            Ids; each counts once.
        sources : iterable of str or None
            Those of them whose passages are looked for in all; None for every one.
        licks_of : iterable of str or None
            Those of them that the licks are looked for in; None for every one.
        versions : bool
            Whether to find out which songs are versions of one tune.
        progress : callable
            Called after each source.

        Raises
        ------
        SongNotFoundError
            If no song has an id given.
        """
        ids = sorted(set(songs))
        entries = _entries(self._catalogue, ids)
        numbers = np.array([self._number_of[song] for song in ids], np.int64)
        from_songs = ids if sources is None else sorted(set(sources))
        rows: list[Passages] = [np.empty((0, 6), np.int32)]
        for done, source in enumerate(from_songs, start=1):
            rows.append(self._passages.taught_by(self._number_of[source], numbers))
            progress(done, len(from_songs))
        passages = _renumbered(np.concatenate(rows), numbers)
        licks, places = self._lick_places(ids if licks_of is None else sorted(set(licks_of)), ids)
        parts = [self._times.parts_of(int(number)) for number in numbers]
        counts = [part.stop - part.start for part in parts]
        chosen = np.concatenate(
            [np.empty(0, np.int64), *(np.arange(part.start, part.stop) for part in parts)]
        )
        return Material(
            songs=tuple(ids),
            titles=tuple(entry.title for entry in entries),
            levels=tuple(entry.level for entry in entries),
            tunes=self._tunes(numbers, passages) if versions else tuple(range(len(ids))),
            licks=licks,
            first_parts=np.cumsum([0, *counts], dtype=np.int64),
            durations=self._times.durations[chosen],
            measures=self._times.measures[chosen],
            positions=self._times.positions[chosen],
            equal_to=self._times.equal_to[chosen],
            passages=passages,
            lick_places=places,
        )

    def passages_from(self, song: str, material: Material) -> Passages:
        """Return the passages that one song teaches in the songs of a material, numbered as there.

        Returns
        -------
        shape (n_passages, 6), int32
            As ``Material.passages``.
        """
        numbers = np.array([self._number_of[each] for each in material.songs], np.int64)
        return _renumbered(self._passages.taught_by(self._number_of[song], numbers), numbers)

    def _lick_places(
        self, licks_of: list[str], songs: list[str]
    ) -> tuple[tuple[str, ...], NDArray[np.int32]]:
        """Find the licks of some songs, and the parts of time where they stand."""
        licks, _, places = recurring_places(self._catalogue, licks_of)
        number_among = {song: number for number, song in enumerate(songs)}
        rows: list[tuple[int, int, int, int]] = []
        for song, lick, first, last in places.tolist():
            of_song = self._times.parts_of(self._number_of[licks_of[song]])
            measures = self._times.measures[of_song]
            parts = np.flatnonzero((measures >= first) & (measures <= last))
            if len(parts):
                rows.append((number_among[licks_of[song]], lick, int(parts[0]), int(parts[-1]) + 1))
        return licks, np.array(rows, np.int32).reshape(-1, 4)

    def _tunes(self, numbers: NDArray[np.int64], passages: Passages) -> tuple[int, ...]:
        """Return for each song the first that is a version of the same tune.

        Songs as much alike as versions are have a passage in common.
        """
        tunes = np.arange(len(numbers))
        for song in range(len(numbers)):
            mine = passages[(passages[:, 3] == song) & (passages[:, 0] > song), 0]
            others = np.unique(mine).astype(np.int64)
            found = most_alike(
                int(numbers[song]), self._passages.whole, numbers[others], limit=None, above=ALIKE
            )
            for other in np.searchsorted(numbers, found.songs).tolist():
                one, another = sorted((int(tunes[song]), int(tunes[other])))
                tunes[tunes == another] = one
        return tuple(tunes.tolist())


def _entries(catalogue: Catalogue, songs: list[str]) -> list[SongEntry]:
    """Look up songs, in the order given.

    Raises
    ------
    SongNotFoundError
        If no song has an id given.
    """
    every = {entry.song: entry for entry in catalogue.entries()}
    return [every[song] if song in every else catalogue.entry(song) for song in songs]


def _renumbered(passages: Passages, numbers: NDArray[np.int64]) -> Passages:
    """Number the songs of passages by their place among some."""
    places = passages.copy()
    for column in (0, 3):
        places[:, column] = np.searchsorted(numbers, passages[:, column])
    return places


def students_of(catalogue: Catalogue, path: FilePath) -> StudentFile:
    """Read a student's file; its songs may be named by id, title or a part of only one title.

    Raises
    ------
    DescriptionError
        If the file is wrong; it names the line.
    """
    titles = catalogue.titles()
    return read_student_file(path_of(path), song_named=lambda name: song_named(name, titles))
