"""Song records: songs as the rows and packed arrays that the catalogue keeps, and back.

Packed arrays are tables of little-endian numbers, a row a note; they come back bit for bit.
"""

import json
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.index.intake.plain_records import fields_from_plain, to_plain
from melodex.model.melody import AttachedNotes, Melody
from melodex.model.song import MeasureGrid, Song, Source

_NOTES = np.dtype(
    [
        ("pitches", "<i2"),
        ("onsets", "<f8"),
        ("durations", "<f8"),
        ("measures", "<i4"),
        ("beat_strengths", "<f8"),
        ("strings", "i1"),
        ("frets", "i1"),
    ]
)
_ATTACHED_NOTES = np.dtype(
    [("notes", "<i4"), ("pitches", "<i2"), ("strings", "i1"), ("frets", "i1")]
)
_PHRASE_ENDS = np.dtype("<i4")
_SECTIONS = np.dtype("<f8")
_MEASURE_GRID = np.dtype([("onsets", "<f8"), ("numbers", "<i4")])
# Fields of a song that are kept as one JSON object; the others have columns of their own.
_STATED = (
    "other_titles", "key", "metre", "metre_changes", "tempo", "chords", "bar_lines", "lyrics",
    "tuning", "touches", "remarks",
)  # fmt: skip
_NO_ATTACHED_NOTES = AttachedNotes.none()


class PackedMelody(NamedTuple):
    """A melody and its sections; the columns of table ``melody``."""

    notes: bytes
    phrase_ends: bytes
    chord_tones: bytes
    grace_notes: bytes
    sections: bytes


class SongRecord(NamedTuple):
    """A song ready to be written; needs neither numpy nor the song itself."""

    title: str
    tune: str
    line: int | None
    collection: str
    key: str | None
    metre: str
    measure_count: int
    note_count: int
    measure_grid: bytes
    stated: str  # JSON
    melody: PackedMelody

    @property
    def score(self) -> tuple[bytes, str]:
        """The columns of table ``score``."""
        return self.measure_grid, self.stated

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the reader noticed, a sentence each."""
        return tuple(json.loads(self.stated)["remarks"])


def pack_song(song: Song) -> SongRecord:
    """Turn a song into its record; `unpack_song` turns it back without loss."""
    numbers = song.measures.numbers
    return SongRecord(
        title=as_utf8(song.title),
        tune=as_utf8(song.source.tune),
        line=song.source.line,
        collection=as_utf8(song.collection),
        key=None if song.key is None else str(song.key),
        metre=str(song.metre),
        # A pickup is no measure, and both halves of one that a repeat cuts bear its number.
        measure_count=len(set(numbers[numbers > 0].tolist())),
        note_count=len(song.melody),
        measure_grid=_pack(song.measures, _MEASURE_GRID),
        stated=json.dumps({name: to_plain(getattr(song, name)) for name in _STATED}),
        melody=pack_melody(song.melody, song.sections),
    )


def unpack_song(record: SongRecord, *, file: str) -> Song:
    """Turn a record back into its song; the catalogue keeps the file's name apart."""
    melody, sections = unpack_melody(record.melody)
    grid = _unpack(record.measure_grid, _MEASURE_GRID)
    return Song(
        title=record.title,
        melody=melody,
        measures=MeasureGrid(onsets=grid["onsets"], numbers=grid["numbers"]),
        sections=sections,
        source=Source(file=file, tune=record.tune, line=record.line),
        collection=record.collection,
        **fields_from_plain(json.loads(record.stated), Song),
    )


def unpack_melody(packed: PackedMelody) -> tuple[Melody, Beats]:
    """Turn a packed melody back into the melody and its sections, shape (n_sections, 2)."""
    notes = _unpack(packed.notes, _NOTES)
    melody = Melody(
        pitches=notes["pitches"],
        onsets=notes["onsets"],
        durations=notes["durations"],
        measures=notes["measures"],
        beat_strengths=notes["beat_strengths"],
        strings=notes["strings"],
        frets=notes["frets"],
        phrase_ends=_unpack(packed.phrase_ends, _PHRASE_ENDS),
        chord_tones=_unpack_attached(packed.chord_tones),
        grace_notes=_unpack_attached(packed.grace_notes),
    )
    return melody, _unpack(packed.sections, _SECTIONS).reshape(-1, 2)


def pack_melody(melody: Melody, sections: Beats) -> PackedMelody:
    """Pack a melody and its sections; `unpack_melody` gives them back."""
    return PackedMelody(
        notes=_pack(melody, _NOTES),
        phrase_ends=melody.phrase_ends.astype(_PHRASE_ENDS).tobytes(),
        chord_tones=_pack(melody.chord_tones, _ATTACHED_NOTES),
        grace_notes=_pack(melody.grace_notes, _ATTACHED_NOTES),
        sections=sections.astype(_SECTIONS).tobytes(),
    )


def _pack(record: Melody | AttachedNotes | MeasureGrid, layout: np.dtype[np.void]) -> bytes:
    """Lay a record's arrays side by side in the columns that bear their names."""
    columns = {name: getattr(record, name) for name in layout.names or ()}
    table = np.empty(len(next(iter(columns.values()))), layout)
    for name, values in columns.items():
        table[name] = values
    return table.tobytes()


def _unpack(packed: bytes, layout: np.dtype[Any]) -> NDArray[Any]:
    return np.frombuffer(packed, layout).astype(layout.newbyteorder("="), copy=False)


def _unpack_attached(packed: bytes) -> AttachedNotes:
    if not packed:
        return _NO_ATTACHED_NOTES
    table = _unpack(packed, _ATTACHED_NOTES)
    return AttachedNotes(
        notes=table["notes"],
        pitches=table["pitches"],
        strings=table["strings"],
        frets=table["frets"],
    )


def as_utf8(text: str) -> str:
    """Spell out what UTF-8 cannot hold (half a surrogate pair); SQLite stores UTF-8 only."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")
