"""Tell a family of licks in a musician's words: degrees, notes, chords and measures."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from melodex._types import Beats
from melodex.features.chords import chords_during, chords_of
from melodex.features.key_finding import find_key
from melodex.features.scale_degrees import scale_degrees
from melodex.index.song_arrays import SongArrays
from melodex.model.key import Key, signature_of
from melodex.model.lick import Lick, LickHands
from melodex.model.recurring import LickOccurrence, RecurringLick
from melodex.model.song import Song
from melodex.phrases.families import Family
from melodex.report.aligned_text import FLAT_NAMES, SHARP_NAMES, note_name
from melodex.search.places import written_places
from melodex.search.query import hands_at

SURPRISE_DIGITS = 1
_SHARP_TONICS = (2, 4, 7, 9, 11)  # pitch classes whose minor or major key is written with sharps


def lick_record(
    family: Family, arrays: SongArrays, song_ids: tuple[str, ...], song_of: Callable[[str], Song]
) -> tuple[RecurringLick, Lick]:
    """Tell a family as a record, and give the representative lick itself.

    Parameters
    ----------
    song_of : callable
        Gives a song by its id.
    """
    song_id = song_ids[family.song]
    song = song_of(song_id)
    written = arrays.written[family.notes]
    first, last = (int(song.melody.measures[note]) for note in written[[0, -1]])
    key = song.key if song.key is not None and song.key.tonic else _estimated_key(song)
    chords, estimated = _chords_of_notes(song, int(written[0]), int(written[-1]))
    told = RecurringLick(
        lick=f"{song_id}-m{first}" + (f"-{last}" if last != first else ""),
        degrees=tuple(scale_degrees(family.lick.pitches, key.tonic_pitch_class or 0)),
        notes=tuple(note_name(int(pitch), key) for pitch in family.lick.pitches),
        measures=len(np.unique(song.melody.measures[written])),
        chords=chords,
        chords_estimated=estimated,
        key=str(key),
        surprise=round(family.evidence, SURPRISE_DIGITS),
        tunes=family.tunes,
        songs=len(family.places),
        occurrences=_occurrences(family, arrays, song_ids, song_of),
    )
    came_from = f"{song.title}, measures {first}-{last}"
    hands = _hands_of(song, family.lick.onsets, song.melody.onsets[written])
    return told, Lick(family.lick, came_from, song.metre, hands=hands)


def _hands_of(song: Song, onsets: Beats, written: Beats) -> LickHands | None:
    """Return how a lick is played where its song has tab; None where a repeat parts its notes."""
    later = onsets - written
    hands = hands_at(song, written) if np.allclose(later, later[0]) else None
    if hands is None:
        return None
    at = dict(zip(written.tolist(), onsets.tolist(), strict=True))
    return replace(hands, notes=tuple(replace(note, onset=at[note.onset]) for note in hands.notes))


def _occurrences(
    family: Family, arrays: SongArrays, song_ids: tuple[str, ...], song_of: Callable[[str], Song]
) -> tuple[LickOccurrence, ...]:
    told: list[LickOccurrence] = []
    for number, passages in family.places:
        song = song_of(song_ids[number])
        for place in written_places(arrays, number, list(passages)):
            notes = [note for _, note in place.alignment]
            chords, estimated = _chords_of_notes(song, notes[0], notes[-1])
            told.append(
                LickOccurrence(
                    song=song_ids[number],
                    title=song.title,
                    first_measure=place.measures[0],
                    last_measure=place.measures[-1],
                    measures=place.measures,
                    transposition=place.transposition,
                    form=place.form,
                    chords=chords,
                    chords_estimated=estimated,
                )
            )
    return tuple(told)


def _chords_of_notes(song: Song, first: int, last: int) -> tuple[tuple[str, ...], bool]:
    """Name the chords that sound from one note, as written, to another."""
    chords, estimated = chords_of(song)
    begin = float(song.melody.onsets[first])
    end = float(song.melody.onsets[last] + song.melody.durations[last])
    return tuple(name for name, _ in chords_during(chords, begin, end)), estimated


def _estimated_key(song: Song) -> Key:
    found = find_key(song.melody)
    names = SHARP_NAMES if found.tonic_pitch_class in _SHARP_TONICS else FLAT_NAMES
    tonic = names[found.tonic_pitch_class]
    return Key(tonic, found.mode, signature_of(tonic, found.mode))
