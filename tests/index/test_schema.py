import json
import sqlite3
from dataclasses import replace
from functools import partial

import pytest

from melodex.errors import CatalogueError
from melodex.index.intake.build import add_files
from melodex.index.schema import MIGRATIONS, bring_up_to_date
from melodex.index.store import open_catalogue
from melodex.model.description import Description
from melodex.model.reading import Reading
from tests.index.toy_reader import read_toy_file, toy_file
from tests.moves import Move, tab_of_moves


def _one_song(song, _path, **_names):
    return Reading((song,), ())


def _add_a_column(connection):
    connection.execute("ALTER TABLE song ADD COLUMN mood TEXT")


def _fail_half_way(connection):
    _add_a_column(connection)
    raise RuntimeError("power cut")


@pytest.fixture
def connection(catalogue, tmp_path):
    add_files(catalogue, [toy_file(tmp_path / "a.toy", ["1|Waltz|60"])], read=read_toy_file)
    with sqlite3.connect(catalogue.path, isolation_level=None) as connection:
        yield connection
    connection.close()


def _columns(connection):
    return {row[1] for row in connection.execute("PRAGMA table_info(song)")}


def _version(connection):
    return connection.execute("PRAGMA user_version").fetchone()[0]


def test_an_older_catalogue_is_brought_up_to_date_and_keeps_its_songs(connection, catalogue):
    bring_up_to_date(connection, catalogue.path, (*MIGRATIONS, _add_a_column))
    assert "mood" in _columns(connection)
    assert _version(connection) == len(MIGRATIONS) + 1
    assert connection.execute("SELECT song, mood FROM song").fetchall() == [("waltz", None)]


def test_a_catalogue_that_is_up_to_date_is_left_alone(connection, catalogue):
    newer = (*MIGRATIONS, _add_a_column)
    bring_up_to_date(connection, catalogue.path, newer)
    bring_up_to_date(connection, catalogue.path, newer)  # a second column would be an error
    assert _version(connection) == len(newer)


def test_a_migration_that_fails_leaves_the_older_version_whole(connection, catalogue):
    with pytest.raises(RuntimeError, match="power cut"):
        bring_up_to_date(connection, catalogue.path, (*MIGRATIONS, _fail_half_way))
    assert "mood" not in _columns(connection)
    assert _version(connection) == len(MIGRATIONS)


def test_migrations_before_one_that_fails_are_kept(connection, catalogue):
    steps = (*MIGRATIONS, _add_a_column, _fail_half_way)
    with pytest.raises(CatalogueError, match="not those of version"):
        bring_up_to_date(connection, catalogue.path, steps)
    assert "mood" in _columns(connection)
    assert _version(connection) == len(MIGRATIONS) + 1


def test_a_catalogue_of_a_newer_melodex_is_refused_and_not_touched(connection, catalogue):
    bring_up_to_date(connection, catalogue.path, (*MIGRATIONS, _add_a_column))
    with pytest.raises(CatalogueError, match="newer than this melodex") as caught:
        open_catalogue(catalogue.path)
    assert "install the newest melodex" in caught.value.next_step
    assert _version(connection) == len(MIGRATIONS) + 1


@pytest.mark.parametrize(
    "statement",
    ["CREATE TABLE recipe (name)", "PRAGMA user_version = 1", "PRAGMA application_id = 7"],
)
@pytest.mark.parametrize("create", [True, False])
def test_a_database_of_another_program_is_refused_and_not_touched(tmp_path, statement, create):
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as connection:
        connection.execute(statement)
    connection.close()
    before = path.read_bytes()
    with pytest.raises(CatalogueError, match="a database of another program"):
        open_catalogue(path, create=create)
    assert path.read_bytes() == before


def test_removing_a_song_leaves_no_row_of_it_behind(connection, catalogue):
    catalogue.describe([Description("waltz", {"level": (1.0,)})])
    catalogue.remove("waltz")
    tables = ("song", "melody", "score", "fact")
    dump = "\n".join(connection.iterdump())
    assert not any(f'INSERT INTO "{table}"' in dump for table in tables)
    assert 'INSERT INTO "file"' in dump


def test_touches_of_an_older_catalogue_get_the_string_of_their_melody_note(catalogue, tmp_path):
    tab = tab_of_moves([[Move(1, 0, "", "M"), Move(5, 0, "", "T")], [Move(3, 2, "slide", "")]])
    song = replace(tab.song, title="Waltz")
    add_files(catalogue, [toy_file(tmp_path / "a.toy", [])], read=partial(_one_song, song))
    old_touches = [{"note": 0, "left_hand": "", "finger": "M"}, {"note": 1, "left_hand": "slide"}]
    with sqlite3.connect(catalogue.path, isolation_level=None) as connection:
        (stated,) = connection.execute("SELECT stated FROM score").fetchone()
        stated = json.dumps(json.loads(stated) | {"touches": old_touches})
        connection.execute("UPDATE score SET stated = ?", (stated,))
        for table in ("kept_lick", "listed_lick"):  # which a later version adds
            connection.execute(f"ALTER TABLE {table} DROP COLUMN stated")
        for table in ("saved_work", "correction"):
            connection.execute(f"DROP TABLE {table}")
        connection.execute("PRAGMA user_version = 3")
    connection.close()
    touches = open_catalogue(catalogue.path).song("waltz").touches
    assert [(touch.note, touch.string, touch.left_hand) for touch in touches] == [
        (0, 5, ""),
        (1, 3, "slide"),
    ]
