"""Bad files, added with good ones, get a sentence each; everything else is in."""

import io
import json
import os
import re
import socket
import sys
import zipfile
from pathlib import Path

import numpy as np
import pytest

from melodex.index.intake import reading_processes
from melodex.index.intake.build import add_files
from melodex.index.store import open_catalogue
from melodex.parsing.corpus_walk import MusicFile
from tests.ordinary_user import open_folder, run_as_an_ordinary_user

RUBBISH = np.random.default_rng(1).bytes(5000)
MEBIBYTE = 2**20


def _tune(number, body="GABc d2d2|", *, key="G", metre="4/4", title="Tune"):
    return f"X:{number}\nT:{title} {number}\nM:{metre}\nL:1/8\nK:{key}\n{body}\n\n"


def _book(broken):
    """Fifty tunes, of which one is broken."""
    return "".join(_tune(number, key="Q!" if number == broken else "D") for number in range(1, 51))


def _archive(score):
    content = io.BytesIO()
    container = "<container><rootfiles><rootfile full-path='score.xml'/></rootfiles></container>"
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", container)
        archive.writestr("score.xml", score)
    return content.getvalue()


def _entity_bomb():
    bricks = "".join(f"<!ENTITY a{level + 1} '{f'&a{level};' * 10}'>" for level in range(9))
    document = f"<!DOCTYPE s [<!ENTITY a0 'ha'>{bricks}]>"
    return f"<?xml version='1.0'?>{document}<score-partwise>&a9;</score-partwise>"


# Name, content, the tunes that are in nonetheless, and what the failure must speak of.
BAD_FILES = [
    ("empty.abc", "", 0, "empty"),
    ("blank.abc", " \n\n", 0, "empty"),
    ("rubbish.abc", RUBBISH, 0, "binary data"),
    ("rubbish.musicxml", RUBBISH, 0, "binary data"),
    ("rubbish.mxl", RUBBISH, 0, "binary data"),
    ("rubbish.mid", RUBBISH, 0, "binary data"),
    ("rubbish.krn", RUBBISH, 0, "binary data"),
    ("wrong_suffix.mid", _tune(1), 0, r"\.mid"),
    ("wrong_suffix.abc", _archive("<score-partwise/>"), 0, r"\.abc"),
    ("book.abc", _book(broken=12), 49, "unknown key 'Q!'"),
    ("truncated.mxl", _archive("<score-partwise/>")[:150], 0, "cut off"),
    ("zip_bomb.mxl", _archive(" " * (100 * MEBIBYTE)), 0, "100 MB"),
    ("entity_bomb.xml", _entity_bomb(), 0, "entities"),
    ("truncated.musicxml", "<score-partwise><part-list>", 0, "cut off"),
    ("deeply_nested.xml", "<a>" * 100_000, 0, "XML"),
    ("page.xml", "<html><body>Tunes</body></html>", 0, "html"),
    ("no_notes.abc", _tune(1, ""), 0, "no notes"),
    ("only_rests.abc", _tune(1, "z8|z8|"), 0, "only rests"),
    ("no_notes.krn", "**kern\n*-\n", 0, "no notes"),
    ("no_notes.mid", b"MThd\0\0\0\6\0\0\0\1\0\x60MTrk\0\0\0\4\0\xff\x2f\0", 0, "no notes"),
    ("outside_midi.abc", _tune(1, "G,,,,,,,,,,,, A|"), 0, "MIDI"),
    ("unknown_key.abc", _tune(1, key="Zdor"), 0, "unknown key 'Zdor'"),
]
GOOD_FILES = {
    "one_note.abc": _tune(1, "G8|"),
    "unknown_metre.abc": _tune(1, metre="4/0"),
    "many_notes.abc": _tune(1, "GABc dcBA|\n" * 740),  # 5,920 notes
    "latin_1.abc": _tune(1, title="Früh").encode("latin-1"),
    "byte_order_mark.abc": _tune(1).encode("utf-8-sig"),
}


def _file(folder, name, content):
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return MusicFile(path, name, "zoo")


@pytest.fixture
def catalogue(tmp_path):
    with open_catalogue(tmp_path / "songs", create=True) as opened:
        yield opened


@pytest.mark.parametrize("name", sorted(GOOD_FILES))
def test_an_odd_file_is_read_all_the_same(catalogue, tmp_path, name):
    report = add_files(catalogue, [_file(tmp_path, name, GOOD_FILES[name])])
    assert (report.added, report.failed) == (1, ())


def test_a_title_in_latin_1_is_read_as_it_was_meant(catalogue, tmp_path):
    add_files(catalogue, [_file(tmp_path, "latin.abc", GOOD_FILES["latin_1.abc"])])
    assert catalogue.entry("fruh-1").title == "Früh 1"


def test_nearly_six_thousand_notes_are_all_kept(catalogue, tmp_path):
    add_files(catalogue, [_file(tmp_path, "long.abc", GOOD_FILES["many_notes.abc"])])
    assert catalogue.entry("tune-1").notes == 5_920


@pytest.mark.parametrize(
    ("name", "content", "tunes", "reason"), BAD_FILES, ids=[name for name, *_ in BAD_FILES]
)
def test_a_bad_file_gets_one_sentence(catalogue, tmp_path, name, content, tunes, reason):
    report = add_files(catalogue, [_file(tmp_path, name, content)])
    assert report.added == tunes
    (failure,) = report.failed
    assert failure.file == name
    assert not failure.reason.endswith(".")
    assert re.search(reason, failure.reason)


@pytest.mark.parametrize("limit", [0, 10**9], ids=["in several processes", "in one"])
def test_a_zoo_of_bad_files_costs_no_good_one(catalogue, tmp_path, monkeypatch, limit):
    monkeypatch.setattr(reading_processes, "WORTH_A_SECOND_PROCESS", limit)
    zoo = [_file(tmp_path, name, content) for name, content, *_ in BAD_FILES]
    good = [_file(tmp_path, name, content) for name, content in GOOD_FILES.items()]
    report = add_files(catalogue, [*zoo, *good])
    assert report.added == 49 + len(GOOD_FILES)
    assert [failure.file for failure in report.failed] == [name for name, *_ in BAD_FILES]
    again = add_files(catalogue, [*zoo, *good])
    assert (again.added, again.unchanged) == (0, report.added)
    assert set(again.failed) == set(report.failed)


def test_a_broken_tune_that_is_corrected_joins_its_book(catalogue, tmp_path):
    add_files(catalogue, [_file(tmp_path, "book.abc", _book(broken=12))])
    report = add_files(catalogue, [_file(tmp_path, "book.abc", _book(broken=None))])
    assert (report.added, report.unchanged, report.failed) == (1, 49, ())


def test_a_tune_that_breaks_later_keeps_its_earlier_reading(catalogue, tmp_path):
    add_files(catalogue, [_file(tmp_path, "book.abc", _book(broken=None))])
    report = add_files(catalogue, [_file(tmp_path, "book.abc", _book(broken=12))])
    assert (report.unchanged, report.removed) == (50, 0)
    assert report.failed[0].reason.endswith("; the earlier reading is kept")
    assert len(catalogue.song_ids()) == 50


def test_a_file_without_permission_costs_only_itself():
    with open_folder() as folder:
        for title in ("a", "b", "c"):
            _file(folder, f"{title}.abc", _tune(1, title=title))
        (folder / "b.abc").chmod(0)
        done = run_as_an_ordinary_user(
            *("-m", "melodex", "add", str(folder), "--catalogue", str(folder / "songs"), "--json"),
            TMPDIR=str(folder),
        )
    report = json.loads(done.stdout)
    assert report["added"] == 2
    assert [failure["reason"] for failure in report["failed"]] == [
        "you have no permission to read it"
    ]


def _make(path, kind):
    match kind:
        case "a folder":
            path.mkdir()
        case "a pipe":
            os.mkfifo(path)
        case "a socket":
            with socket.socket(socket.AF_UNIX) as opened:
                opened.bind(str(path))
        case "a device":
            path.symlink_to("/dev/zero")
        case "a link to itself":
            path.symlink_to(path)
        case _:
            assert kind == "nothing"


@pytest.mark.skipif(sys.platform == "win32", reason="makes pipes and sockets")
@pytest.mark.parametrize(
    "kind", ["a folder", "a pipe", "a socket", "a device", "a link to itself", "nothing"]
)
def test_what_is_no_file_is_listed_and_not_waited_for(catalogue, monkeypatch, tmp_path, kind):
    monkeypatch.chdir(tmp_path)  # the name of a socket must be short
    _make(Path("odd.abc"), kind)
    files = [MusicFile(Path("odd.abc"), "odd.abc", "zoo"), _file(tmp_path, "good.abc", _tune(1))]
    report = add_files(catalogue, files)
    assert [failure.file for failure in report.failed] == ["odd.abc"]
    assert report.added == 1


def test_a_file_too_large_to_read_is_not_hashed_either(catalogue, tmp_path):
    path = tmp_path / "huge.abc"
    with path.open("wb") as stream:
        stream.truncate(10**12)  # a hole: it takes no room on disk, but hours to read
    (failure,) = add_files(catalogue, [MusicFile(path, "huge.abc", "zoo")]).failed
    assert failure.reason == "it is larger than 64 MB"
