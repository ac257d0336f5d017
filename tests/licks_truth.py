"""The songbook's truth and the licks found, as patterns that mir_eval.pattern compares.

A pattern is a list of occurrences, an occurrence a list of (onset, pitch). Songs lie one after the
other in time. A pitch is told at the height of the pattern's representative: an occurrence in
another key is moved there. The truth's representative is the lick as the truth file writes it; a
found lick stands at one of its places, and is moved by that place's distance from the truth's.
Since both are moved alike, that equals comparing what sounds, and what sounds is compared.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import islice

import numpy as np

from melodex.index.blocks import Blocks, load_blocks
from melodex.index.store import Catalogue
from melodex.model.song import Song
from melodex.phrases.families import Family, families_of
from tests.songbook import TRUTH, lick_song

SONG_LENGTH = 10_000.0  # quarter notes from the start of one song to that of the next


@dataclass(frozen=True)
class Book:
    """The songbook in a catalogue, and the licks found in it."""

    songs: dict[str, Song]
    titles: dict[str, str]  # id by title
    blocks: Blocks
    families: list[Family]

    @cached_property
    def planted(self):
        """The planted licks: of each, every place that has its notes in one unbroken run."""
        return [
            self._found_in(
                [place for place in TRUTH["place"] if place["lick"] == lick["id"]],
                np.diff(lick_song(lick["id"]).melody.pitches).tolist(),
            )
            for lick in TRUTH["lick"]
        ]

    @cached_property
    def recurring(self):
        """What else recurs and was judged to be something that a player would recognise."""
        return [
            self._found_in(row["places"], row["intervals"])
            for row in TRUTH["recurrence"]
            if row["judgement"] == "real"
        ]

    @property
    def found(self):
        """The licks found, with the notes that match them at every place."""
        return [
            [
                self._notes(self.blocks.song_ids[song], np.unique(written[passage.pairs[:, 1]]))
                for song, passages in family.places
                for written in [self.blocks.songs.written[self.blocks.songs.notes_of(song)]]
                for passage in passages
            ]
            for family in self.families
        ]

    def representative(self, family):
        """Where a family's lick stands: title, first and last measure."""
        measures = self.blocks.songs.measures[family.notes]
        song = self.blocks.song_ids[family.song]
        return self.songs[song].title, int(measures[0]), int(measures[-1])

    def _notes(self, song, notes):
        begin = SONG_LENGTH * self.blocks.song_ids.index(song)
        melody = self.songs[song].melody
        return [(begin + float(melody.onsets[n]), float(melody.pitches[n])) for n in notes]

    def _found_in(self, places, intervals):
        occurrences = []
        for place in places:
            song = self.titles[place["song"]]
            melody = self.songs[song].melody
            inside = np.flatnonzero(
                (melody.measures >= place["first_measure"])
                & (melody.measures <= place["last_measure"])
            )
            steps = np.diff(melody.pitches[inside]).tolist()
            for start in range(len(steps) - len(intervals) + 1):
                if steps[start : start + len(intervals)] == intervals:
                    run = inside[start : start + len(intervals) + 1]
                    occurrences.append(self._notes(song, run))
                    break
        return occurrences


def read_book(catalogue: Catalogue, *, limit: int = 20) -> Book:
    """Find the licks of a catalogue that holds the songbook."""
    blocks = load_blocks(catalogue)
    everywhere = np.ones(len(blocks.songs.pitches), np.bool_)
    every_song = np.arange(len(blocks.song_ids))
    return Book(
        songs={song: catalogue.song(song) for song in blocks.song_ids},
        titles={title: song for song, title in catalogue.titles()},
        blocks=blocks,
        families=list(islice(families_of(blocks.songs, every_song, everywhere), limit)),
    )
