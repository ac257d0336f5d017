"""A family of licks in a musician's words: degrees, notes, rhythm, chords and places."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from melodex._types import Beats
from melodex.features.as_played import entered
from melodex.features.chords import chords_during, chords_of
from melodex.features.counted_beats import beat_at
from melodex.features.key_finding import find_key
from melodex.features.scale_degrees import scale_degrees
from melodex.finder.lick_places import places_in_songs
from melodex.index.blocks import Blocks
from melodex.model.chord_names import ROOTS
from melodex.model.key import Key, signature_of
from melodex.model.lick import Lick, LickHands
from melodex.model.results.recurring import LickOccurrence, RecurringLick
from melodex.model.song import Song
from melodex.notation.measure_names import measures_in_words
from melodex.notation.note_names import note_name
from melodex.notation.note_values_in_letters import rhythm_in_letters
from melodex.phrases.families import Family
from melodex.search.query import hands_at

SURPRISE_DIGITS = 1


def lick_record(
    family: Family, blocks: Blocks, song_of: Callable[[str], Song]
) -> tuple[RecurringLick, Lick]:
    """Return a family as a record, named by its place, and the representative lick itself.

    Parameters
    ----------
    song_of : callable
        Returns a song by its id.
    """
    song_id = blocks.song_ids[family.song]
    song = song_of(song_id)
    written = blocks.songs.written[family.notes]
    measures = song.melody.measures[written]
    first, last = (int(measure) for measure in measures[[0, -1]])
    first_beat, last_beat = _beats_of(song, written[[0, -1]].tolist())
    name = f"{song.title}, {measures_in_words(entered(measures))}"
    key = song.key if song.key is not None and song.key.tonic else _estimated_key(song)
    chords, estimated = _chords_of_notes(song, int(written[0]), int(written[-1]))
    record = RecurringLick(
        lick=f"{song_id}-m{first}" + (f"-{last}" if last != first else ""),
        name=name,
        degrees=tuple(scale_degrees(family.lick.pitches, key.tonic_pitch_class or 0)),
        notes=tuple(note_name(int(pitch), key) for pitch in family.lick.pitches),
        rhythm=rhythm_in_letters(family.lick.onsets, family.lick.durations),
        measures=len(np.unique(measures)),
        first_measure=first,
        first_beat=first_beat,
        last_measure=last,
        last_beat=last_beat,
        chords=chords,
        chords_estimated=estimated,
        key=str(key),
        surprise=round(family.evidence, SURPRISE_DIGITS),
        tunes=family.tunes,
        songs=len(family.places),
        occurrences=_occurrences(family, blocks, song_of),
    )
    hands = _hands_of(song, family.lick.onsets, song.melody.onsets[written])
    return record, Lick(family.lick, name, song.metre, hands=hands)


def _beats_of(song: Song, notes: Sequence[int]) -> tuple[float | None, ...]:
    return tuple(beat_at(song, float(song.melody.onsets[note])) for note in notes)


def _hands_of(song: Song, onsets: Beats, written: Beats) -> LickHands | None:
    """Return how a lick is played if its song has tab; None if a repeat separates its notes."""
    later = onsets - written
    hands = hands_at(song, written) if np.allclose(later, later[0]) else None
    if hands is None:
        return None
    at = dict(zip(written.tolist(), onsets.tolist(), strict=True))
    return replace(hands, notes=tuple(replace(note, onset=at[note.onset]) for note in hands.notes))


def _occurrences(
    family: Family, blocks: Blocks, song_of: Callable[[str], Song]
) -> tuple[LickOccurrence, ...]:
    found: list[LickOccurrence] = []
    for song_id, places in places_in_songs(family.places, blocks):
        song = song_of(song_id)
        for place in places:
            first, last = (note for _, note in (place.alignment[0], place.alignment[-1]))
            chords, estimated = _chords_of_notes(song, first, last)
            first_beat, last_beat = _beats_of(song, (first, last))
            found.append(
                LickOccurrence(
                    song=song_id,
                    title=song.title,
                    first_measure=place.measures[0],
                    last_measure=place.measures[-1],
                    first_beat=first_beat,
                    last_beat=last_beat,
                    measures=place.measures,
                    note_runs=place.note_runs,
                    transposition=place.transposition,
                    form=place.form,
                    chords=chords,
                    chords_estimated=estimated,
                )
            )
    return tuple(found)


def _chords_of_notes(song: Song, first: int, last: int) -> tuple[tuple[str, ...], bool]:
    """Return the names of the chords from one note, as written, to another."""
    chords, estimated = chords_of(song)
    begin = float(song.melody.onsets[first])
    end = float(song.melody.onsets[last] + song.melody.durations[last])
    return tuple(name for name, _ in chords_during(chords, begin, end)), estimated


def _estimated_key(song: Song) -> Key:
    found = find_key(song.melody)
    tonic = ROOTS[found.tonic_pitch_class]
    return Key(tonic, found.mode, signature_of(tonic, found.mode))
