"""Untrusted compressed MusicXML."""

import zipfile

import pytest

from melodex.parsing.file_content import LARGEST_FILE
from melodex.parsing.formats import read_file
from tests.parsing.score.hand_scores import (
    archive,
    attributes,
    container,
    failure_of,
    note,
    part,
    score,
)

CONTAINER = "META-INF/container.xml"
MUSICXML = score(part(attributes("2/4") + note("G4") + note("A4")))


@pytest.mark.parametrize("kept", [0.1, 0.5, 0.9, 0.99])
def test_a_truncated_archive_is_a_failure(tmp_path, kept):
    whole = archive(
        {"META-INF/container.xml": container("a.xml"), "a.xml": MUSICXML},
        compression=zipfile.ZIP_DEFLATED,
    )
    failure = failure_of(tmp_path, whole[: int(len(whole) * kept)], "tune.mxl")
    assert failure.reason == "the .mxl archive is damaged or cut off"


def test_an_archive_whose_content_was_damaged_is_a_failure(tmp_path):
    whole = bytearray(archive({"META-INF/container.xml": container("a.xml"), "a.xml": MUSICXML}))
    whole[whole.index(b"<score-partwise") + 5] ^= 1
    assert "damaged" in failure_of(tmp_path, bytes(whole), "tune.mxl").reason


@pytest.mark.parametrize("lie", [None, 1000])
def test_a_zip_bomb_is_not_unpacked(tmp_path, lie):
    bomb = archive(
        {"META-INF/container.xml": container("a.xml"), "a.xml": b" " * (LARGEST_FILE + 1)},
        compression=zipfile.ZIP_DEFLATED,
    )
    if lie:  # the size in both headers is made small
        true_size = (LARGEST_FILE + 1).to_bytes(4, "little")
        bomb = bomb.replace(true_size, lie.to_bytes(4, "little"))
    reason = failure_of(tmp_path, bomb, "tune.mxl").reason
    assert ("would unpack to 64 MB" in reason) if lie is None else ("damaged" in reason)


def test_an_archive_of_too_many_members_is_refused(tmp_path):
    crowd = archive({f"{number}.xml": "" for number in range(1001)})
    assert "more than 1000" in failure_of(tmp_path, crowd, "tune.mxl").reason


@pytest.mark.parametrize("path", ["../../etc/passwd", "/etc/passwd", "b.xml", ""])
def test_an_archive_cannot_lead_out_of_itself(tmp_path, path):
    trick = archive({"META-INF/container.xml": container(path), "a.xml": MUSICXML})
    assert "does not contain it" in failure_of(tmp_path, trick, "tune.mxl").reason


def test_an_archive_without_a_container_is_a_failure(tmp_path):
    assert "no META-INF" in failure_of(tmp_path, archive({"a.xml": MUSICXML}), "tune.mxl").reason


def test_an_archive_that_presents_several_scores_gives_as_many_songs(tmp_path):
    # Source: MusicXML 4.0, opus: score elements with an xlink:href each.
    opus = (
        '<opus xmlns:xlink="http://www.w3.org/1999/xlink">'
        '<score xlink:href="a.xml"/><score xlink:href="b.xml"/></opus>'
    )
    rests = score(part(attributes() + note("rest", 4)))
    members = {"META-INF/container.xml": container("book/o.xml"), "book/o.xml": opus}
    path = tmp_path / "opus.mxl"
    path.write_bytes(archive({**members, "book/a.xml": MUSICXML, "book/b.xml": rests}))
    reading = read_file(path)
    assert [song.source.tune for song in reading.songs] == ["1"]
    assert [failure.tune for failure in reading.failures] == ["2"]


def test_an_archive_whose_container_names_no_score_is_a_failure(tmp_path):
    pdf = '<rootfile full-path="a.pdf" media-type="application/pdf"/>'
    empty = archive({"META-INF/container.xml": f"<container>{pdf}</container>", "a.pdf": "%PDF"})
    assert "names no score" in failure_of(tmp_path, empty, "tune.mxl").reason


def test_an_encrypted_archive_is_a_failure(tmp_path):
    whole = bytearray(archive({"META-INF/container.xml": container("a.xml"), "a.xml": MUSICXML}))
    for header, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        whole[whole.index(header) + flags] |= 1  # bit 0: encrypted. Source: the zip format.
    assert "is encrypted" in failure_of(tmp_path, bytes(whole), "tune.mxl").reason


CENTRAL, END = b"PK\x01\x02", b"PK\x05\x06"


@pytest.mark.parametrize(
    ("signature", "offset", "damage"),
    [  # Source: the zip format, central directory header and end of central directory record.
        (CENTRAL, 0, b"XX"),
        (CENTRAL, 6, b"\xff\xff"),  # the version needed
        (CENTRAL, 10, b"\x63\x00"),  # a method of compression that does not exist
        (CENTRAL, 28, b"\xff\xff"),  # a longer name than there is
        (CENTRAL, 42, b"\xff\xff\xff\x7f"),  # a member that begins beyond the end
        (CENTRAL, 8, b"\x00\x08"),  # the name is UTF-8 ...
        (END, 12, b"\xff\xff\xff\x7f"),  # a directory longer than the archive
        (END, 16, b"\xff\xff\xff\x7f"),
        (b"PK\x03\x04", 26, b"\x01\x00"),  # another name than in the directory
    ],
)
def test_an_archive_with_a_damaged_directory_is_a_failure_in_one_sentence(
    tmp_path, signature, offset, damage
):
    whole = bytearray(archive({CONTAINER: container("a.xml"), "a.xml": MUSICXML}))
    start = whole.index(signature)
    whole[start + offset : start + offset + len(damage)] = damage
    if damage == b"\x00\x08":  # ... and is not
        whole[start + 46] = 0xFF
    assert ".mxl archive" in failure_of(tmp_path, bytes(whole), "tune.mxl").reason


def test_an_archive_in_an_archive_is_a_failure(tmp_path):
    inner = archive({CONTAINER: container("a.xml"), "a.xml": MUSICXML})
    outer = archive({CONTAINER: container("a.mxl"), "a.mxl": inner})
    assert "which is an archive itself" in failure_of(tmp_path, outer, "tune.mxl").reason


@pytest.mark.parametrize("second", [None, "<score-partwise>", archive({}), "<score-partwise/>"])
def test_a_fault_in_one_score_of_an_opus_leaves_the_others(tmp_path, second):
    links = "".join(f'<score xlink:href="{name}.xml"/>' for name in "abc")
    members = {
        CONTAINER: container("o.xml"),
        "o.xml": f'<opus xmlns:xlink="http://www.w3.org/1999/xlink">{links}</opus>',
        "a.xml": MUSICXML,
        "b.xml": second,
        "c.xml": MUSICXML,
    }
    path = tmp_path / "opus.mxl"
    path.write_bytes(archive({name: text for name, text in members.items() if text is not None}))
    reading = read_file(path)
    assert [song.source.tune for song in reading.songs] == ["1", "3"]
    assert [failure.tune for failure in reading.failures] == ["2"]
