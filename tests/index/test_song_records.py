import tempfile
from pathlib import Path

import numpy as np
from hypothesis import given, settings

from melodex.index.intake.file_records import FileRecord
from melodex.index.intake.filing import file_record
from melodex.index.song_records import pack_song, unpack_melody
from melodex.index.store import open_catalogue
from melodex.model.song import MeasureGrid, Song
from melodex.parsing.corpus_walk import MusicFile
from tests.index.rich_songs import assert_identical, rich_songs
from tests.strategies import melody_of, song_of

SHOWN_AS = "evening_class.abc"
FILE = MusicFile(Path("/evening_class.abc"), SHOWN_AS, "class")


@given(song=rich_songs())
@settings(max_examples=25)
def test_a_song_comes_back_from_the_catalogue_to_the_last_bit(song):
    with (
        tempfile.TemporaryDirectory() as folder,
        open_catalogue(Path(folder) / "songs", create=True) as catalogue,
    ):
        with catalogue.writing() as connection:
            file_record(connection, FILE, b"", FileRecord((pack_song(song),), ()))
        (song_id,) = catalogue.song_ids()
        assert_identical(catalogue.song(song_id), song)
        ((listed_id, melody, sections, _),) = catalogue.melodies()
    assert listed_id == song_id
    assert_identical(melody, song.melody)
    assert_identical(sections, song.sections)


def test_packed_notes_are_little_endian_whatever_the_machine():
    # Source: arithmetic; 60 = 0x003C, and 1.0 is 3F F0 00 … in IEEE 754.
    notes = pack_song(song_of(melody_of(60))).melody.notes
    assert notes[:2] == b"\x3c\x00"
    assert notes[10:18] == b"\x00\x00\x00\x00\x00\x00\xf0\x3f"


def test_a_melody_without_notes_can_be_kept():
    melody, sections = unpack_melody(pack_song(song_of(melody_of())).melody)
    assert len(melody) == 0
    assert sections.shape == (1, 2)


def test_a_pickup_is_no_measure_and_a_measure_cut_by_a_repeat_is_one():
    plain = song_of(melody_of(60))
    grid = MeasureGrid(
        onsets=np.array([0.0, 1.0, 5.0, 7.0]), numbers=np.array([0, 1, 2, 2], np.int32)
    )
    song = Song(
        title=plain.title,
        melody=plain.melody,
        measures=grid,
        sections=plain.sections,
        source=plain.source,
    )
    assert pack_song(song).measure_count == 2


def test_text_that_no_file_can_hold_is_spelled_out():
    song = song_of(melody_of(60), title="half a pair \ud83c")
    assert pack_song(song).title == "half a pair \\ud83c"
