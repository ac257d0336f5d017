"""A catalogue with damaged bytes: every operation works or gives an error."""

import contextlib
import shutil
import sqlite3
from pathlib import Path

import numpy as np
import pytest

from melodex.errors import CatalogueError, MelodexError
from melodex.index.blocks import gather
from melodex.index.intake.build import add_files
from melodex.index.kept_licks import keep_lick, kept_licks
from melodex.index.soundness import faults_of
from melodex.index.store import open_catalogue
from melodex.model.catalogue import SongFilter
from melodex.model.description import Description
from melodex.model.lick import Lick
from melodex.model.metre import FREE_METRE
from tests.index.toy_reader import read_toy_file, toy_file
from tests.strategies import melody_of

TUNES = [f"{number}|Tune {number}|60 62 64 {60 + number}" for number in range(12)]
SEEDS = 300  # thousands were run by hand


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    """Return a catalogue with songs, facts and a kept lick, and the file of its songs."""
    folder = tmp_path_factory.mktemp("sound")
    file = toy_file(folder / "a.toy", TUNES)
    with open_catalogue(folder / "songs", create=True) as made:
        add_files(made, [file], read=read_toy_file)
        made.describe([Description("tune-1", {"level": (2.0,), "tags": ("rolls", "slow")})])
        keep_lick(made, "fill", Lick(melody_of(60, 62, 64), "typed", FREE_METRE))
    return folder / "songs", file


@pytest.fixture
def path(sound, tmp_path):
    """Return a copy of that catalogue, to be damaged."""
    return Path(shutil.copy(sound[0], tmp_path))


def _change(path, statement, *values):
    with sqlite3.connect(path) as connection:
        connection.execute(statement, values)
    connection.close()


def _use_all(path):
    with open_catalogue(path) as catalogue:
        catalogue.melody_version()
        catalogue.entries(SongFilter(tags=("rolls",), lowest_level=1.0))
        kept_licks(catalogue)
        for entry in catalogue.entries():
            assert entry.title.casefold()
            catalogue.facts(entry.song)
            catalogue.song(entry.song)
            catalogue.resolve(entry.title)
        gather(catalogue)


def test_a_sound_catalogue_can_be_used_in_full(path):
    _use_all(path)


def test_flipped_bytes_make_sentences_and_nothing_else(path):
    content = path.read_bytes()
    sentences = 0
    for seed in range(SEEDS):
        rng = np.random.default_rng(seed)
        damaged = bytearray(content)
        # Half of them affect the first pages, which describe the tables.
        for _ in range(rng.choice([1, 2, 20])):
            place = rng.integers(rng.choice([len(content), 16384]))
            damaged[place] ^= 1 << rng.integers(8)
        path.write_bytes(damaged)
        sound = _is_found_sound(path)
        try:
            _use_all(path)
        except MelodexError:
            sentences += 1
            assert not sound, f"seed {seed}"
    assert 0 < sentences < SEEDS


def _is_found_sound(path):
    with contextlib.suppress(MelodexError), open_catalogue(path) as catalogue:
        return next(faults_of(catalogue), None) is None
    return False


def test_a_flipped_bit_in_a_melody_is_noticed_and_costs_that_song_alone(path, sound):
    query = "SELECT notes FROM melody JOIN song ON song.id = melody.song WHERE song.song = 'tune-3'"
    with sqlite3.connect(path) as connection:
        notes = bytearray(connection.execute(query).fetchone()[0])
    connection.close()
    notes[0] ^= 1  # a half-step
    _change(path, "UPDATE melody SET notes = ? WHERE song = 4", bytes(notes))
    with open_catalogue(path) as catalogue:
        with pytest.raises(CatalogueError, match=r"The notes of the song 'tune-3' .* are damaged"):
            catalogue.song("tune-3")
        assert catalogue.song("tune-2").title == "Tune 2"
        with pytest.raises(CatalogueError, match="'tune-3'") as caught:
            gather(catalogue)
        assert "remove that song and add its file again" in caught.value.next_step
        catalogue.remove("tune-3")
        add_files(catalogue, [sound[1]], read=read_toy_file)
        assert catalogue.song("tune-3").melody.pitches.tolist() == [60, 62, 64, 63]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE song SET title = CAST(x'ff41' AS TEXT)",
        "UPDATE song SET title = x'41'",
        "UPDATE song SET collection = CAST(x'c328' AS TEXT)",
        "UPDATE song SET collection = x'41'",
        "UPDATE song SET measure_count = 'many'",
        "UPDATE fact SET value = x'00' WHERE name = 'level'",
        "UPDATE fact SET value = 3 WHERE name = 'tags'",
        "UPDATE score SET stated = substr(stated, 1, 20)",
        "UPDATE score SET measure_grid = x'0001'",
        "UPDATE melody SET notes = substr(notes, 1, 20)",
        "UPDATE melody SET sections = 'none'",
        "UPDATE kept_lick SET notes = x'0001'",
        "UPDATE kept_lick SET metre = '{'",
        "UPDATE catalogue SET melody_version = '../../elsewhere'",
        "DELETE FROM catalogue",
        "DROP TABLE score",
        "ALTER TABLE song RENAME COLUMN metre TO meter",
        "PRAGMA user_version = 1",
        "PRAGMA user_version = 2",
        "PRAGMA user_version = -1",
        "PRAGMA user_version = -2147483648",
    ],
)
def test_columns_that_make_no_sense_get_a_sentence(path, statement):
    _change(path, statement)
    with pytest.raises(CatalogueError, match="damaged"):
        _use_all(path)


@pytest.mark.parametrize(
    ("table", "column", "changed"),
    [("file", "shown_as", "shown_at"), ("file", "digest BLOB", "digest BLOB NOT NULL")],
)
def test_tables_that_are_not_ours_get_a_sentence_when_they_are_written(
    path, sound, table, column, changed
):
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute(
            "UPDATE sqlite_master SET sql = replace(sql, ?, ?) WHERE name = ?",
            (column, changed, table),
        )
    connection.close()

    def remove_and_add_again():
        with open_catalogue(path) as catalogue:
            catalogue.remove("tune-1")
            add_files(catalogue, [sound[1]], read=read_toy_file)

    with pytest.raises(CatalogueError, match="is damaged"):
        remove_and_add_again()


def test_failures_cut_short_get_a_sentence_when_the_file_is_added_again(path, sound):
    _change(path, "UPDATE file SET failures = '[{'")
    with (
        open_catalogue(path) as catalogue,
        pytest.raises(CatalogueError, match="damaged"),
    ):
        add_files(catalogue, [sound[1]], read=read_toy_file)


def test_a_version_beyond_all_others_is_that_of_a_newer_melodex(path):
    _change(path, "PRAGMA user_version = 2147483647")
    with pytest.raises(CatalogueError, match="newer than this melodex"):
        open_catalogue(path)


def test_a_closed_catalogue_says_so(path):
    catalogue = open_catalogue(path)
    catalogue.close()
    catalogue.close()  # twice is as good as once
    for use in (catalogue.entries, catalogue.melody_version, lambda: catalogue.remove("tune-1")):
        with pytest.raises(CatalogueError, match="has been closed") as caught:
            use()
        assert caught.value.next_step == "open it again."


def test_a_catalogue_without_checksums_gets_them_when_it_is_opened(path):
    for table in ("melody", "score"):
        _change(path, f"ALTER TABLE {table} DROP COLUMN checksum")
    for table in ("kept_lick", "listed_lick"):
        _change(path, f"ALTER TABLE {table} DROP COLUMN stated")
    for table in ("saved_work", "correction"):
        _change(path, f"DROP TABLE {table}")
    _change(path, "PRAGMA user_version = 2")
    _use_all(path)
    _change(path, "UPDATE melody SET notes = zeroblob(length(notes)) WHERE song = 4")
    with pytest.raises(CatalogueError, match="'tune-3'"):
        _use_all(path)
