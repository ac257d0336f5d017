import sqlite3
import subprocess
import sys

import pytest

from melodex.errors import SongNotFoundError
from melodex.index.intake.build import add_files
from melodex.index.store import open_catalogue
from melodex.model.catalogue import SongEntry, SongFilter
from melodex.model.description import Description
from tests.index.toy_reader import read_toy_file, toy_file


@pytest.fixture
def stocked(catalogue, tmp_path):
    """Five songs in two collections, three of them with levels."""
    files = [
        toy_file(tmp_path / "a.toy", ["1|Waltz|60 62", "2|Apple|60"], collection="Class"),
        toy_file(tmp_path / "b.toy", ["1|Old Road|60", "2|Jig|64", "3|Reel|65"], collection="HÄUS"),
    ]
    add_files(catalogue, files, read=read_toy_file)
    catalogue.describe(
        [
            Description("waltz", {"level": (1.0,), "tags": ("Slow", "winter")}),
            Description("jig", {"level": (2.5,), "tags": ("fast",), "term": ("2",)}),
            Description("reel", {"level": (4.0,), "tags": ()}),
        ]
    )
    return catalogue


def test_an_entry_has_what_a_list_shows(stocked, tmp_path):
    assert stocked.entry("waltz") == SongEntry(
        song="waltz",
        title="Waltz",
        collection="Class",
        key=None,
        metre="4/4",
        measures=1,
        notes=2,
        level=1.0,
        tags=("Slow", "winter"),
        file=str(tmp_path / "a.toy"),
    )


def test_entries_and_ids_come_in_the_order_of_ids(stocked):
    ids = ["apple", "jig", "old-road", "reel", "waltz"]
    assert stocked.song_ids() == ids
    assert [entry.song for entry in stocked.entries()] == ids
    assert [song for song, *_ in stocked.melodies()] == ids
    assert stocked.entries() == [stocked.entry(song) for song in ids]


@pytest.mark.parametrize(
    ("which", "ids"),
    [
        (SongFilter(collections=("class",)), ["apple", "waltz"]),
        (SongFilter(collections=("häus",)), ["jig", "old-road", "reel"]),
        (SongFilter(collections=("class", "häus")), ["apple", "jig", "old-road", "reel", "waltz"]),
        (SongFilter(collections=("unknown",)), []),
        (SongFilter(tags=("SLOW",)), ["waltz"]),
        (SongFilter(tags=("slow", "Fast")), ["jig", "waltz"]),
        (SongFilter(metres=("4/4",)), ["apple", "jig", "old-road", "reel", "waltz"]),
        (SongFilter(metres=("3/4", "6/8")), []),
        (SongFilter(lowest_level=2.5), ["jig", "reel"]),
        (SongFilter(highest_level=2.5), ["jig", "waltz"]),
        (SongFilter(lowest_level=2, highest_level=3), ["jig"]),
        (SongFilter(collections=("class",), tags=("fast",)), []),
        (SongFilter(collections=("häus",), lowest_level=3), ["reel"]),
    ],
)
def test_a_filter_keeps_the_songs_that_match_every_field(stocked, which, ids):
    assert stocked.song_ids(which) == ids
    assert [entry.song for entry in stocked.entries(which)] == ids


def test_a_song_is_found_by_a_part_of_its_title(stocked):
    assert stocked.resolve("road") == "old-road"


@pytest.mark.parametrize("method", ["entry", "song", "facts", "remove"])
def test_an_unknown_id_gets_a_sentence(stocked, method):
    with pytest.raises(SongNotFoundError, match="No song has the id 'polka'"):
        getattr(stocked, method)("polka")


def test_facts_are_kept_by_name_and_in_order(stocked):
    assert stocked.facts("jig") == {"level": (2.5,), "tags": ("fast",), "term": ("2",)}
    assert stocked.facts("apple") == {}


def test_describing_again_replaces_the_facts_named_and_keeps_the_others(stocked):
    stocked.describe([Description("jig", {"tags": ("a", "b"), "level": ()})])
    assert stocked.facts("jig") == {"tags": ("a", "b"), "term": ("2",)}
    assert stocked.entry("jig").level is None


def test_a_description_of_an_unknown_song_changes_nothing(stocked):
    with pytest.raises(SongNotFoundError):
        stocked.describe([Description("jig", {"term": ("9",)}), Description("polka", {})])
    assert stocked.facts("jig")["term"] == ("2",)


def test_a_removed_song_is_gone_from_everything(stocked):
    stocked.remove("jig")
    assert "jig" not in stocked.song_ids()
    assert "jig" not in [song for song, *_ in stocked.melodies()]
    with pytest.raises(SongNotFoundError):
        stocked.song("jig")


def test_an_id_that_is_used_again_inherits_no_facts(stocked, tmp_path):
    stocked.remove("jig")
    add_files(stocked, [toy_file(tmp_path / "c.toy", ["1|Jig|70"])], read=read_toy_file)
    assert stocked.facts("jig") == {}


def test_the_melody_version_changes_when_a_song_is_removed(stocked):
    before = stocked.melody_version()
    stocked.remove("jig")
    assert stocked.melody_version() != before


def test_the_melody_version_stays_when_songs_are_described(stocked):
    before = stocked.melody_version()
    stocked.describe([Description("jig", {"level": (5.0,)})])
    assert stocked.melody_version() == before


def test_no_two_catalogues_share_a_melody_version(catalogue, tmp_path):
    with open_catalogue(tmp_path / "other", create=True) as other:
        assert other.melody_version() != catalogue.melody_version()


def test_a_restored_copy_that_goes_its_own_way_gets_versions_of_its_own(stocked, tmp_path):
    with sqlite3.connect(tmp_path / "copy") as copy, stocked.reading() as connection:
        connection.backup(copy)
    copy.close()
    with open_catalogue(tmp_path / "copy") as other:
        assert other.melody_version() == stocked.melody_version()
        stocked.remove("jig")
        other.remove("reel")
        assert other.melody_version() != stocked.melody_version()


def test_an_error_while_writing_takes_everything_back(stocked):
    def delete_all_and_be_stopped():
        with stocked.writing() as connection:
            connection.execute("DELETE FROM song")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        delete_all_and_be_stopped()
    assert len(stocked.song_ids()) == 5


def test_songs_are_listed_without_loading_anything_heavy(stocked):
    program = f"""if True:
        import sys
        from pathlib import Path
        from melodex.index.store import open_catalogue
        with open_catalogue(Path({str(stocked.path)!r})) as catalogue:
            assert len(catalogue.entries()) == len(catalogue.song_ids()) == 5
        heavy = {{"numpy", "numba", "pandas", "music21"}} & set(sys.modules)
        print("heavy:", *heavy)
    """
    output = subprocess.check_output([sys.executable, "-c", program], text=True)
    assert output == "heavy:\n"
