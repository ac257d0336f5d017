"""Files of every kind, good and bad, read by one function."""

import stat
import zipfile

import pytest

from melodex.parsing.file_content import LARGEST_FILE
from melodex.parsing.formats import SUFFIXES, read_file
from melodex.parsing.score.musicxml_document import MOST_MEASURES
from tests.parsing.score.hand_scores import (
    archive,
    attributes,
    container,
    failure_of,
    midi,
    note,
    part,
    score,
)

ABC = "X:1\nT:Gate\nM:4/4\nL:1/4\nK:G\nGABc|d4|]\n"
KERN = "**kern\n*M2/4\n4g\n4a\n*-\n"
MUSICXML = score(part(attributes("2/4") + note("G4") + note("A4")))


@pytest.mark.parametrize(
    ("name", "content", "pitches"),
    [
        ("gate.abc", ABC.encode(), [67, 69, 71, 72, 74]),
        ("gate.krn", KERN.encode(), [67, 69]),
        ("gate.KERN", KERN.encode(), [67, 69]),
        ("gate.xml", MUSICXML.encode(), [67, 69]),
        ("gate.MusicXML", MUSICXML.replace("UTF-8", "UTF-16").encode("utf-16"), [67, 69]),
        (
            "gate.mxl",
            archive({"META-INF/container.xml": container("a.xml"), "a.xml": MUSICXML}),
            [67, 69],
        ),
        ("gate.midi", midi([(0, 480, 67), (480, 480, 69)], metre=(2, 4)), [67, 69]),
    ],
)
def test_the_suffix_chooses_the_reader(tmp_path, name, content, pitches):
    (tmp_path / name).write_bytes(content)
    reading = read_file(tmp_path / name, collection="evening class", shown_as=f"class/{name}")
    assert reading.failures == ()
    (song,) = reading.songs
    assert song.melody.pitches.tolist() == pitches
    assert song.collection == "evening class"
    assert song.source.file == f"class/{name}"


def test_a_score_without_a_title_is_called_after_its_file(tmp_path):
    (tmp_path / "green_gate.krn").write_text(KERN)
    assert read_file(tmp_path / "green_gate.krn").songs[0].title == "green_gate"


@pytest.mark.parametrize("suffix", sorted(SUFFIXES))
@pytest.mark.parametrize("content", [b"", b" \n\r\n\t"])
def test_an_empty_file_is_a_failure_whatever_its_suffix(tmp_path, suffix, content):
    assert failure_of(tmp_path, content, f"tune{suffix}").reason == "the file is empty"


@pytest.mark.parametrize("suffix", sorted(SUFFIXES))
def test_binary_rubbish_is_a_failure_whatever_its_suffix(tmp_path, suffix):
    rubbish = bytes(range(256)) * 40
    assert "looks like binary data" in failure_of(tmp_path, rubbish, f"tune{suffix}").reason


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("tune.abc", MUSICXML.encode(), "looks like XML, not like ABC"),
        ("tune.abc", midi([(0, 480, 67)]), "looks like a MIDI file"),
        ("tune.musicxml", ABC.encode(), "looks like ABC, not like XML"),
        ("tune.xml", archive({"a": "b"}), "looks like a zip archive"),
        ("tune.mxl", MUSICXML.encode(), "looks like XML, not like a zip archive"),
        ("tune.krn", b"%PDF-1.7 ...", "looks like a PDF document"),
        ("tune.mid", b"\x89PNG\r\n\x1a\n", "looks like a picture"),
        ("tune.mid", b"a letter to the class", "looks like plain text"),
        ("tune.mid", KERN.encode(), "looks like Humdrum kern"),
        ("tune.midi", b"RIFF\0\0\0\0WAVE", "looks like a sound file"),
    ],
)
def test_a_wrong_suffix_is_reported_with_what_the_content_looks_like(tmp_path, name, content, said):
    assert said in failure_of(tmp_path, content, name).reason


def test_a_suffix_that_no_reader_knows_is_reported_with_those_that_are_known(tmp_path):
    failure = failure_of(tmp_path, b"notes", "tune.docx")
    assert "'.docx' cannot be read" in failure.reason
    assert ".musicxml" in failure.reason


def test_a_missing_file_is_a_failure(tmp_path):
    (failure,) = read_file(tmp_path / "gone.abc").failures
    assert failure.reason == "there is no such file or folder"


def test_a_file_without_permission_is_a_failure(tmp_path, monkeypatch):
    # The tests may run as a user with all permissions, so the system's refusal is simulated.
    path = tmp_path / "locked.abc"
    path.write_text(ABC)
    path.chmod(stat.S_IWUSR)

    def refuse(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refuse)
    assert read_file(path).failures[0].reason == "you have no permission to read it"


def test_a_folder_named_like_a_file_is_a_failure(tmp_path):
    (tmp_path / "tunes.abc").mkdir()
    assert read_file(tmp_path / "tunes.abc").failures[0].reason == "it is a folder, not a file"


def test_a_huge_file_is_refused_after_its_bound(tmp_path):
    path = tmp_path / "huge.abc"
    with path.open("wb") as stream:
        stream.truncate(LARGEST_FILE + 1)  # a sparse file, which takes no disk space
    assert read_file(path).failures[0].reason == "it is larger than 64 MB"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("tune.musicxml", score(part(attributes()))),
        ("tune.musicxml", score(part(attributes() + note("rest", 4)))),
        ("tune.musicxml", score()),
        ("tune.krn", "**kern\n*M4/4\n1r\n*-\n"),
        ("tune.krn", "**kern\n*-\n"),
        ("tune.mid", midi([])),
        ("tune.mid", midi([(0, 480, 38)], channel=10)),
    ],
)
def test_a_score_with_no_notes_or_only_rests_is_a_failure(tmp_path, name, content):
    data = content if isinstance(content, bytes) else content.encode()
    assert "no notes" in failure_of(tmp_path, data, name).reason


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("tune.musicxml", score(part(attributes() + note("G4")))),
        ("tune.krn", "**kern\n4g\n*-\n"),
        ("tune.mid", midi([(0, 480, 67)])),
        ("tune.abc", "X:1\nL:1/4\nK:C\nG|]\n"),
    ],
)
def test_a_score_of_one_note_is_a_song_of_one_note(tmp_path, name, content):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    (song,) = read_file(path).songs
    assert (song.melody.pitches.tolist(), song.melody.durations.tolist()) == ([67], [1])


def test_a_note_outside_midi_is_reported_with_its_measure(tmp_path):
    high = score(part(attributes("1/4") + note("G4"), note("C11")))
    reason = failure_of(tmp_path, high.encode(), "tune.musicxml").reason
    assert reason == "a note in measure 2 has pitch 144, outside MIDI's 0 to 127"


@pytest.mark.parametrize(
    "broken",
    [
        "<pitch><step>H</step><octave>4</octave></pitch><duration>12</duration>",
        "<pitch><octave>4</octave></pitch><duration>12</duration>",
        "<pitch><step>G</step></pitch><duration>a while</duration>",
    ],
)
def test_a_note_that_makes_no_sense_is_reported_with_its_measure(tmp_path, broken):
    content = score(part(attributes("1/4") + note("G4"), f"<note>{broken}</note>"))
    assert "measure 2" in failure_of(tmp_path, content.encode(), "tune.musicxml").reason


@pytest.mark.parametrize(
    "endless",
    [
        attributes(fifths=999_999_999) + note("G4"),
        attributes("99999/4") + note("G4"),
        attributes() + note("G4", 999_999_999),
        attributes(more="<transpose><chromatic>1e999</chromatic></transpose>") + note("G4"),
    ],
)
def test_numbers_beyond_any_music_are_reported_at_once(tmp_path, endless):
    content = score(part(endless)).encode()
    assert "measure 1 has" in failure_of(tmp_path, content, "tune.musicxml").reason


def test_a_midi_file_that_lasts_for_days_is_refused(tmp_path):
    failure = failure_of(tmp_path, midi([(0, 480, 67), (200_000_000, 480, 69)]), "tune.mid")
    assert "longer than 10,000 measures" in failure.reason


@pytest.mark.parametrize("kept", [3, 14, 20, 30])
def test_a_midi_file_that_is_cut_off_is_a_failure(tmp_path, kept):
    failure_of(tmp_path, midi([(0, 480, 67), (480, 480, 69)])[:kept], "tune.mid")


def test_a_token_that_is_not_a_kern_note_is_reported_with_its_line(tmp_path):
    failure = failure_of(tmp_path, b"!! tune\n**kern\n4g\n4\n4a\n*-\n", "tune.krn")
    assert (failure.line, failure.reason) == (4, "'4' is not a note or rest in kern")


def test_twenty_thousand_notes_are_read(tmp_path):
    measure = "".join(note(pitch, 0.25) for pitch in ("G4", "A4", "B4", "D5") * 4)
    content = score(part(attributes() + measure, *[measure] * 1249))
    packed = archive(
        {"META-INF/container.xml": container("a.xml"), "a.xml": content},
        compression=zipfile.ZIP_DEFLATED,
    )
    (tmp_path / "long.mxl").write_bytes(packed)
    (song,) = read_file(tmp_path / "long.mxl").songs
    assert len(song.melody) == 20_000
    assert song.melody.measures[-1] == 1250


def test_a_score_of_endless_measures_is_refused(tmp_path):
    endless = score(part(attributes() + note("G4", 4), *[note("G4", 4)] * MOST_MEASURES))
    assert "10,001 measures" in failure_of(tmp_path, endless.encode(), "tune.musicxml").reason
