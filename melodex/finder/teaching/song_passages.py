"""The passages of other songs that learning a song teaches, kept for each catalogue state."""

from collections.abc import Callable, Iterable
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.stretch_scan import with_stretch_in_common
from melodex.alignment.written_notes import WholeSongs, kept_whole_songs
from melodex.finder.teaching.song_times import SongTimes
from melodex.index.blocks import Blocks
from melodex.index.kept_arrays import Arrays, arrays_if_kept, kept_arrays
from melodex.index.store import Catalogue
from melodex.kernels.pair_alignment import UNIT
from melodex.model.melody import Melody
from melodex.model.results.material import Passages
from melodex.phrases.passages import LEAST_SCORE, passages_between, passages_both_ways

SongProgress = Callable[[int, int], None]
"""Called with the number of songs compared so far and the total."""

FILE_NAME = "passages_{}.bin"  # by the number of the song that teaches them


class SongPassages:
    """Finds the passages of songs that are like passages of one song, itself included."""

    def __init__(self, catalogue: Catalogue, blocks: Blocks, times: SongTimes) -> None:
        self._blocks, self._times = blocks, times

        def melody_of(number: int) -> Melody:
            return catalogue.song(blocks.song_ids[number]).melody

        self._melody_of = cache(melody_of)

    @cached_property
    def whole(self) -> WholeSongs:
        """Every song's notes as written."""
        return kept_whole_songs(self._blocks)

    @cached_property
    def _least_scores(self) -> NDArray[np.float64]:
        """The least score of a passage in each song, above 0."""
        of_themselves = self.whole.scores_of_themselves()
        return np.minimum(LEAST_SCORE, np.maximum(of_themselves, 1 / UNIT))

    def taught_by(self, source: int, selected: NDArray[np.int64]) -> Passages:
        """Return the passages of the selected songs that learning one song teaches.

        If all songs are selected, the result is kept, since it takes seconds among thousands.

        Parameters
        ----------
        source : int
            The song's number.
        selected : shape (n_selected,)
            Numbers of the songs whose passages are wanted, ascending.

        Returns
        -------
        shape (n_passages, 6), int32
            As ``Material.passages``, by the songs' numbers in the catalogue's arrays.
        """
        file_name, everything = FILE_NAME.format(source), len(self._blocks.song_ids)
        if len(selected) == everything:
            found = kept_arrays(self._blocks, file_name, lambda: self._found(source, selected))
        else:
            found = arrays_if_kept(self._blocks, file_name) or self._found(source, selected)
        passages = found["passages"]
        return passages[np.isin(passages[:, 0], selected)]

    def among(self, numbers: NDArray[np.int64], progress: SongProgress) -> Passages:
        """Return the passages that each of some songs teaches in all of them.

        Each two songs are compared once.

        Parameters
        ----------
        numbers : shape (n_songs,)
            The songs' numbers, ascending.
        progress : callable
            Called after each song that is compared with the rest.

        Returns
        -------
        shape (n_passages, 6), int32
            As ``taught_by``.
        """
        rows: list[tuple[int, ...]] = []
        for index, song in enumerate(numbers.tolist()):
            others = numbers[index:]
            least = np.minimum(self._least_scores[others], self._least_scores[song])
            for other in with_stretch_in_common(song, self.whole, others, least).tolist():
                both = passages_both_ways(self._melody_of(song), self._melody_of(other))
                rows += self._rows(song, other, both.of_other)
                if other != song:
                    rows += self._rows(other, song, both.of_one)
            progress(index + 1, len(numbers))
        return np.array(rows, np.int32).reshape(-1, 6)

    def _found(self, source: int, selected: NDArray[np.int64]) -> Arrays:
        least = self._least_scores[selected]
        related = with_stretch_in_common(source, self.whole, selected, least)
        rows = [row for song in related.tolist() for row in self._between(source, song)]
        return {"passages": np.array(rows, np.int32).reshape(-1, 6)}

    def _between(self, source: int, song: int) -> list[tuple[int, ...]]:
        pairs = passages_between(self._melody_of(source), self._melody_of(song))
        return self._rows(source, song, pairs)

    def _rows(
        self, source: int, song: int, pairs: Iterable[tuple[range, range]]
    ) -> list[tuple[int, ...]]:
        times = self._times
        rows: list[tuple[int, ...]] = []
        for of_source, of_song in pairs:
            taught, here = times.of_notes(source, of_source), times.of_notes(song, of_song)
            rows.append((song, here.start, here.stop, source, taught.start, taught.stop))
        return rows
