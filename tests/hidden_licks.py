"""Planted licks removed from the songbook: their measures silent, or held on the chord's root."""

from dataclasses import dataclass, replace
from functools import cache

from melodex.banjo.fretboard import fret_places
from melodex.banjo.placing.lick_placement import places_for
from melodex.banjo.sounded_song import sounded_song
from melodex.features.chords import chords_of, read_chord
from melodex.features.written_tab import written_tab
from melodex.model.lick import Lick
from melodex.model.song import ChordSymbol
from melodex.model.tablature import Tab, TabNote
from melodex.notation.tab_measures import measures_of_tab
from melodex.parsing.formats import read_file
from melodex.search.query import lick_from_abc
from tests.songbook import SONGBOOK, TRUTH, lick_song, songs_of_book
from tests.tabs import fingered

LOW_G = 55  # open third string


@dataclass(frozen=True)
class HiddenLick:
    """A song without its planted lick, the lick, and where it was."""

    tab: Tab
    chords: tuple[ChordSymbol, ...]
    lick: Lick
    measures: tuple[int, int]
    transposition: int

    @property
    def name(self):
        return f"{self.lick.came_from} in {self.tab.song.title} {self.measures}"

    def rank(self):
        """The original place's rank among those proposed, from 1; None if it is not among them."""
        places, _ = places_for(self.tab, self.chords, self.lick)
        ranks = [rank for rank, place in enumerate(places, 1) if place.measures == self.measures]
        return ranks[0] if ranks else None


@cache
def song_of(file, title):
    return (
        songs_of_book(file)[title] if file.endswith(".abc") else read_file(SONGBOOK / file).songs[0]
    )


def fits_the_lick(place):
    """Whether a place has the lick's metre and its number of measures."""
    lick, song = lick_song(place["lick"]), song_of(place["file"], place["song"])
    measures = place["last_measure"] - place["first_measure"] + 1
    return lick.metre == song.metre and measures == len(set(lick.melody.measures.tolist()))


def hidden(place, *, held):
    """Hide a place: in each measure the chord's root, if it is to be ``held``, else silence."""
    song = song_of(place["file"], place["song"])
    tab = written_tab(song) or fingered(song)
    text = next(row["abc"] for row in TRUTH["lick"] if row["id"] == place["lick"])
    lick = replace(lick_from_abc(text), came_from=place["lick"])
    first, last = place["first_measure"], place["last_measure"]
    lost = measures_of_tab(tab, (first, last))
    kept = [note for note in tab.notes if not lost[0].onset <= note.onset < lost[-1].end]
    if held:
        kept += [held_root(measure, song.chords, tab) for measure in lost]
    notes = tuple(sorted(kept, key=lambda note: (note.onset, note.string)))
    silent = replace(tab, song=sounded_song(tab.song, notes, tab.tuning), notes=notes)
    return HiddenLick(silent, chords_of(song)[0], lick, (first, last), place["transposition"])


def held_root(measure, chords, tab):
    sounding = [chord.text for chord in chords if chord.onset <= measure.onset]
    chord = read_chord(sounding[-1])
    assert chord is not None
    pitch = LOW_G + (chord.root - LOW_G) % 12
    onset, length = float(measure.onset), float(measure.end - measure.onset)
    return TabNote(onset, length, *fret_places(pitch, tab.tuning)[0])


# Every fourth, so that each lick, plain tunes and arrangements are among them.
PLACES = [place for place in TRUTH["place"] if fits_the_lick(place)][::4][:20]
