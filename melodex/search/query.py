"""Convert the query to a lick, from any form in which a user may give it."""

import re
from dataclasses import replace
from itertools import takewhile

import numpy as np

from melodex._types import Beats, NoteNumbers
from melodex.errors import QueryError, ScoreParseError
from melodex.features.playing.slurs import struck_without_starts
from melodex.features.written_tab import written_tab
from melodex.index.store import Catalogue
from melodex.model.lick import FEWEST_NOTES, Lick, LickHands
from melodex.model.melody import Melody
from melodex.model.metre import Metre
from melodex.model.song import ChordSymbol, Song
from melodex.parsing.given_path import FilePath, path_of
from melodex.parsing.measure_range import MeasureRange, measure_range

_FIELD = re.compile(r"[A-Za-z]:")


def lick_from_abc(text: str) -> Lick:
    """Parse a lick in ABC 2.1 notation.

    Parameters
    ----------
    text : str
        Notes, with or without header fields before them: "DEG2 B>A" is read in C and in eighths.

    Raises
    ------
    QueryError
        If the text cannot be parsed or contains no melody.

    Examples
    --------
    ::

        lick = melodex.lick_from_abc("DEG2 B>A G4")
    """
    from melodex.parsing.abc.abc_reader import read_abc  # loaded late: most searches need no reader

    lines = text.strip().splitlines()
    header = list(takewhile(_FIELD.match, lines))
    music = lines[len(header) :]
    if not any(line.startswith("X:") for line in header):
        header.insert(0, "X:1")
    states_key = any(line.startswith("K:") for line in header)
    if not states_key:
        header.append("K:C")
    reading = read_abc("\n".join([*header, *music]), "")
    for failure in reading.failures:
        raise QueryError(
            f"The ABC text cannot be read: {failure.reason}.",
            "correct it; notes alone are enough: DEG2 BAGE.",
        )
    song, *others = reading.songs
    if others:
        raise QueryError(
            f"The ABC text holds {len(reading.songs)} tunes, but a lick is a single one.",
            "give the notes of one tune.",
        )
    return _lick_of_whole(song if states_key else replace(song, key=None), came_from=text.strip())


def lick_from_file(path: FilePath) -> Lick:
    """Read a lick from a music file that contains one tune.

    Parameters
    ----------
    path : str or path
        ABC, MusicXML, MIDI, kern or text tab.

    Raises
    ------
    ScoreParseError
        If the file cannot be read.
    QueryError
        If it contains several tunes.

    Examples
    --------
    ::

        lick = melodex.lick_from_file(folder / "lick.abc")
    """
    from melodex.index.intake.reading_processes import records_of
    from melodex.index.song_records import unpack_song
    from melodex.parsing.corpus_walk import MusicFile
    from melodex.parsing.formats import read_file

    path = path_of(path)
    name = str(path)
    ((songs, failures),) = records_of([MusicFile(path, name, collection="")], read_file)
    if len(songs) == 1:
        return _lick_of_whole(unpack_song(songs[0], file=name), came_from=name)
    if songs:
        raise QueryError(
            f"{path} holds {len(songs)} tunes, but a lick is a single one.",
            "add the file, then cut the lick from a song: --from SONG --measures A-B.",
        )
    failure = failures[0]
    raise ScoreParseError(
        path,
        reason=failure.reason,
        tune=failure.tune,
        line=failure.line,
        next_step="correct the file, or give the lick as text.",
    )


def lick_from_song(catalogue: Catalogue, song: str, *, measures: MeasureRange) -> Lick:
    """Extract a lick from a song: the notes from one measure to another, inclusive.

    Parameters
    ----------
    song : str
        A song's id or an unambiguous part of its title.
    measures : (int, int), int or str
        First and last, ``(5, 8)`` or "5-8", or one; a pickup is measure 0.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; the message lists the candidates.
    QueryError
        If the song has fewer than two notes there, or the measures cannot be parsed.

    Examples
    --------
    ::

        lick = melodex.lick_from_song(catalogue, "Cinder Path", measures=(5, 6))
    """
    first, last = measure_range(measures)
    song_id = catalogue.resolve(song)
    whole = catalogue.song(song_id)
    numbers = whole.melody.measures
    chosen = np.flatnonzero((numbers >= first) & (numbers <= last)).astype(np.int32)
    if len(chosen) < FEWEST_NOTES:
        raise QueryError(
            f"{whole.title} has {len(chosen)} notes in measures {first} to {last}; "
            f"its notes are in measures {numbers.min()} to {numbers.max()}.",
            "choose measures with two notes or more.",
        )
    place = f"measures {first}-{last}" if last > first else f"measure {first}"
    return _lick_of_notes(whole, chosen, came_from=f"{whole.title}, {place}")


def _lick_of_whole(song: Song, *, came_from: str) -> Lick:
    every_note = np.arange(len(song.melody), dtype=np.int32)
    lick = _lick_of_notes(song, every_note, came_from=came_from)
    return replace(lick, remarks=tuple(song.remarks))


def _lick_of_notes(song: Song, notes: NoteNumbers, *, came_from: str) -> Lick:
    whole = song.melody
    melody = Melody(
        pitches=whole.pitches[notes],
        onsets=whole.onsets[notes],
        durations=whole.durations[notes],
        measures=whole.measures[notes],
        beat_strengths=whole.beat_strengths[notes],
        strings=whole.strings[notes],
        frets=whole.frets[notes],
        phrase_ends=np.empty(0, np.int32),
    )
    begin = float(melody.onsets[0])
    hands = hands_at(song, melody.onsets)
    return Lick(
        melody,
        came_from,
        _metre_at(song, begin),
        song.key,
        remarks=_cut_slurs(song, hands),
        hands=hands,
        chords=_chords_between(song, begin, float(melody.onsets[-1] + melody.durations[-1])),
    )


def hands_at(song: Song, onsets: Beats) -> LickHands | None:
    """Return how the notes at some onsets are played; a slur from an earlier note is struck."""
    tab = written_tab(song)
    if tab is None:
        return None
    chosen = set(onsets.tolist())
    notes = struck_without_starts((note for note in tab.notes if note.onset in chosen), tab.notes)
    return LickHands(tuple(notes), tab.tuning.open_strings)


def _cut_slurs(song: Song, hands: LickHands | None) -> tuple[str, ...]:
    """Return the slurs of a song that a lick loses because they begin before it."""
    tab = None if hands is None else written_tab(song)
    if hands is None or tab is None:
        return ()
    now = {(note.onset, note.string): note.left_hand for note in hands.notes}
    lost = {
        note.left_hand
        for note in tab.notes
        if note.left_hand and not now.get((note.onset, note.string), note.left_hand)
    }
    return tuple(
        f"The lick begins after the first note of a {slur}; its second note is struck."
        for slur in sorted(lost)
    )


def _chords_between(song: Song, begin: float, end: float) -> tuple[ChordSymbol, ...]:
    """Return the chords in a stretch; one already sounding at its beginning starts there."""
    sounding = [replace(chord, onset=begin) for chord in song.chords if chord.onset <= begin][-1:]
    return (*sounding, *(chord for chord in song.chords if begin < chord.onset < end))


def _metre_at(song: Song, onset: float) -> Metre:
    metre = song.metre
    for change in song.metre_changes:
        if change.onset <= onset:
            metre = change.metre
    return metre
