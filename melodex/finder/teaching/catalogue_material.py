"""What songs of a catalogue teach each other, as input for lessons."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from melodex.finder.teaching.song_passages import SongPassages, SongProgress
from melodex.finder.teaching.song_times import song_times
from melodex.finder.teaching.taught_licks import TaughtLick, taught_licks
from melodex.finder.teaching.versions import possible_versions, tunes_of, version_pairs
from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.lessons.overlap import overlap_of
from melodex.model.catalogue import SongEntry
from melodex.model.results.material import Material, Passages

PartRange = tuple[int, int, int]
"""A song's number, and the first part and the end of a range of parts of its time."""


def no_progress(_done: int, _all: int) -> None:
    """Ignore progress."""


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
        progress: SongProgress = no_progress,
    ) -> Material:
        """Gather what some songs teach each other.

        Parameters
        ----------
        songs : iterable of str
            Ids; each counts once.
        sources : iterable of str or None
            Those of them whose passages are searched for in all; None for every one.
        licks_of : iterable of str or None
            Those of them in which recurring licks are searched for; None for every one.
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
        entries = self._entries_of(ids)
        numbers = np.array([self._number_of[song] for song in ids], np.int64)
        from_songs = dict.fromkeys(ids if sources is None else sorted(set(sources)))
        if sources is None:
            found = self._passages.among(numbers, progress)
        else:
            rows: list[Passages] = [np.empty((0, 6), np.int32)]
            for done, source in enumerate(from_songs, start=1):
                rows.append(self._passages.taught_by(self._number_of[source], numbers))
                progress(done, len(from_songs))
            found = np.concatenate(rows)
        passages = _renumbered(found, numbers)
        licks = taught_licks(
            self._catalogue,
            ids,
            recurring_in=ids if licks_of is None else sorted(set(licks_of)),
        )
        places = [self._places_of(lick, ids) for lick in licks]
        is_source = [song in from_songs for song in ids]
        taught_too = _rows_of_kept_licks(licks, places, is_source)
        parts = [self._times.parts_of(int(number)) for number in numbers]
        counts = [part.stop - part.start for part in parts]
        ranges: list[NDArray[np.int64]] = [np.arange(part.start, part.stop) for part in parts]
        chosen = np.concatenate([np.empty(0, np.int64), *ranges])
        material = Material(
            songs=tuple(ids),
            titles=tuple(entry.title for entry in entries),
            levels=tuple(entry.level for entry in entries),
            tunes=tuple(range(len(ids))),
            licks=tuple(lick.name for lick in licks),
            first_parts=np.cumsum([0, *counts], dtype=np.int64),
            durations=self._times.durations[chosen],
            measures=self._times.measures[chosen],
            positions=self._times.positions[chosen],
            equal_to=self._times.equal_to[chosen],
            passages=np.concatenate([passages, taught_too]),
            lick_places=np.array(
                [
                    (song, lick, first, end)
                    for lick, of_lick in enumerate(places)
                    for song, first, end in of_lick
                ],
                np.int32,
            ).reshape(-1, 4),
        )
        if not versions:
            return material
        pairs = version_pairs(overlap_of(material), self._passages.whole, numbers)
        return replace(material, tunes=tunes_of(len(ids), pairs))

    def possible_versions(self, known: Iterable[str], others: Iterable[str]) -> frozenset[str]:
        """Return which of the others may be versions of known songs; see ``versions``."""
        number_of, ids = self._number_of, self._blocks.song_ids
        found = possible_versions(
            (number_of[song] for song in known),
            (number_of[song] for song in others),
            self._passages.whole,
        )
        return frozenset(ids[number] for number in found)

    def passages_from(self, song: str, material: Material) -> Passages:
        """Return the passages that one song teaches in the songs of a material, numbered as there.

        Returns
        -------
        shape (n_passages, 6), int32
            As ``Material.passages``.
        """
        numbers = np.array([self._number_of[each] for each in material.songs], np.int64)
        return _renumbered(self._passages.taught_by(self._number_of[song], numbers), numbers)

    def _entries_of(self, songs: list[str]) -> list[SongEntry]:
        """Look up songs, in the order given.

        Raises
        ------
        SongNotFoundError
            If no song has an id given.
        """
        every = self._entries
        return [every[song] if song in every else self._catalogue.entry(song) for song in songs]

    @cached_property
    def _entries(self) -> dict[str, SongEntry]:
        return {entry.song: entry for entry in self._catalogue.entries()}

    def _places_of(self, lick: TaughtLick, songs: list[str]) -> list[PartRange]:
        """Return the parts of time that a lick takes up in some songs: song, first part, end."""
        number_among = {song: number for number, song in enumerate(songs)}
        places: list[PartRange] = []
        for song, first, last in sorted(lick.places):
            if song in number_among:
                parts = self._times.of_notes(self._number_of[song], range(first, last + 1))
                places.append((number_among[song], parts.start, parts.stop))
        return places


def _rows_of_kept_licks(
    licks: Sequence[TaughtLick], places: Sequence[list[PartRange]], is_source: Sequence[bool]
) -> Passages:
    """Pair the places of kept licks: whoever has learned one in a song can play it in another.

    There is no least length, since the teacher has kept it as a lick.
    """
    rows = [
        (*here, *there)
        for lick, of_lick in zip(licks, places, strict=True)
        for there in of_lick
        if lick.is_kept and is_source[there[0]]
        for here in of_lick
        if there < here or here[0] != there[0]
    ]
    return np.array(rows, np.int32).reshape(-1, 6)


def _renumbered(passages: Passages, numbers: NDArray[np.int64]) -> Passages:
    """Return passages whose songs are numbered by their index in ``numbers``."""
    places = passages.copy()
    for column in (0, 3):
        places[:, column] = np.searchsorted(numbers, passages[:, column])
    return places
