import pytest

from melodex.index.intake import reading_processes
from melodex.index.intake.build import add_files
from melodex.index.store import open_catalogue
from melodex.model.results.addition import AddProgress, AddReport, Remark
from melodex.parsing.corpus_walk import MusicFile
from tests.index.toy_reader import read_toy_file, toy_file


@pytest.fixture(params=["in one process", "in several"])
def both_ways(request, monkeypatch):
    """Read small amounts as they are, and again as if they were large."""
    if request.param == "in several":
        monkeypatch.setattr(reading_processes, "WORTH_A_SECOND_PROCESS", 0)


@pytest.fixture
def books(tmp_path):
    return [
        toy_file(tmp_path / f"{n}.toy", [f"1|Waltz|{60 + n}", f"2|Reel {n}|70 71"])
        for n in range(4)
    ]


@pytest.mark.usefixtures("both_ways")
def test_songs_of_all_files_are_in_under_ids_that_follow_the_order_given(catalogue, books):
    report = add_files(catalogue, books, read=read_toy_file)
    assert (report.added, report.updated, report.unchanged) == (8, 0, 0)
    pitches = {song: int(melody.pitches[0]) for song, melody, *_ in catalogue.melodies()}
    assert {song: pitches[song] for song in pitches if pitches[song] < 70} == {
        "waltz": 60,
        "waltz-2": 61,
        "waltz-3": 62,
        "waltz-4": 63,
    }


@pytest.mark.usefixtures("both_ways")
def test_one_file_that_cannot_be_read_costs_only_itself(catalogue, books, tmp_path):
    missing = MusicFile(tmp_path / "missing.toy", "missing.toy", "class")
    broken = toy_file(tmp_path / "broken.toy", ["fail||no score"])
    report = add_files(catalogue, [missing, *books, broken], read=read_toy_file)
    assert report.added == 8
    assert [(failure.file, failure.reason) for failure in report.failed] == [
        ("missing.toy", "there is no such file"),
        (broken.shown_as, "no score"),
    ]


@pytest.mark.usefixtures("both_ways")
def test_a_mistake_in_a_reader_costs_only_the_file_it_was_made_on(catalogue, books, tmp_path):
    odd = toy_file(tmp_path / "odd.toy", ["1|Waltz|60", "raise|no such note"])
    report = add_files(catalogue, [odd, *books], read=read_toy_file)
    assert report.added == 8
    (failure,) = report.failed
    assert failure.reason == "its reader failed (IndexError: no such note)"


def test_a_file_that_has_vanished_keeps_its_songs_and_is_a_failure(catalogue, books):
    add_files(catalogue, books, read=read_toy_file)
    books[0].path.unlink()
    report = add_files(catalogue, books, read=read_toy_file)
    assert (report.unchanged, report.removed) == (8, 0)
    (failure,) = report.failed
    assert failure.reason == "there is no such file; what was read there before is kept"


def test_only_new_and_changed_files_are_read(catalogue, books):
    add_files(catalogue, books[:3], read=read_toy_file)
    toy_file(books[1].path, ["1|Waltz|61", "2|Reel 1|75"])
    seen: list[AddProgress] = []
    report = add_files(catalogue, books, read=read_toy_file, progress=seen.append)
    assert (report.added, report.updated, report.unchanged) == (2, 1, 5)
    assert [progress.file for progress in seen] == [books[1].shown_as, books[3].shown_as]


def test_progress_counts_files_and_bytes_up_to_the_whole(catalogue, books):
    seen: list[AddProgress] = []
    add_files(catalogue, books, read=read_toy_file, progress=seen.append)
    size = sum(book.path.stat().st_size for book in books)
    assert [progress.files_done for progress in seen] == [1, 2, 3, 4]
    assert {progress.files_total for progress in seen} == {4}
    assert {progress.bytes_total for progress in seen} == {size}
    assert seen[-1].bytes_done == size


def test_a_file_given_twice_is_added_once(catalogue, books, tmp_path):
    link = tmp_path / "link.toy"
    link.symlink_to(books[0].path)
    roundabout = tmp_path / "x" / ".." / books[0].path.name
    (tmp_path / "x").mkdir()
    paths = [books[0].path, books[0].path, link, roundabout]
    files = [MusicFile(path, str(path), "class") for path in paths]
    assert add_files(catalogue, files, read=read_toy_file).added == 2


def test_a_bundled_file_is_the_same_wherever_it_lies(catalogue, tmp_path):
    report = AddReport()
    for folder in ("old python", "new python"):
        (tmp_path / folder).mkdir()
        path = toy_file(tmp_path / folder / "a.toy", ["1|Waltz|60"]).path
        report = add_files(catalogue, [MusicFile(path, "songs/a.toy", "songs")], read=read_toy_file)
    assert (report.added, report.unchanged) == (0, 1)
    assert catalogue.entry("waltz").file == "songs/a.toy"


def test_equal_files_at_two_places_are_two_files(catalogue, tmp_path):
    tunes = ["1|Waltz|60"]
    files = [toy_file(tmp_path / name, tunes) for name in ("a.toy", "b.toy")]
    assert add_files(catalogue, files, read=read_toy_file).added == 2


def test_a_file_added_under_another_collection_moves_there(catalogue, tmp_path):
    path = tmp_path / "a.toy"
    add_files(catalogue, [toy_file(path, ["1|Waltz|60"], collection="one")], read=read_toy_file)
    moved = toy_file(path, ["1|Waltz|60"], collection="two")
    assert add_files(catalogue, [moved], read=read_toy_file).updated == 1
    assert catalogue.entry("waltz").collection == "two"


def test_a_file_is_read_again_by_a_reader_that_has_changed(catalogue, books, monkeypatch):
    add_files(catalogue, books, read=read_toy_file)
    monkeypatch.setattr("melodex.index.intake.file_records.READER_VERSION", "newer")
    seen: list[AddProgress] = []
    report = add_files(catalogue, books, read=read_toy_file, progress=seen.append)
    assert (report.unchanged, len(seen)) == (8, 4)


def test_remarks_of_a_reader_are_reported_with_the_song(catalogue, tmp_path):
    file = toy_file(tmp_path / "a.toy", ["1|Waltz|60|The tab is one fret off."])
    remark = Remark(file.shown_as, "waltz", "The tab is one fret off.")
    assert add_files(catalogue, [file], read=read_toy_file).remarks == (remark,)
    assert add_files(catalogue, [file], read=read_toy_file).remarks == ()


@pytest.mark.usefixtures("both_ways")
def test_ctrl_c_keeps_the_files_so_far_and_adding_goes_on_from_there(catalogue, books):
    def stop_after_two(progress):
        if progress.files_done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        add_files(catalogue, books, read=read_toy_file, progress=stop_after_two)
    assert len(catalogue.song_ids()) == 4
    report = add_files(catalogue, books, read=read_toy_file)
    assert (report.added, report.unchanged) == (4, 4)


def test_a_second_reader_sees_whole_files_only_while_they_are_added(catalogue, books):
    with open_catalogue(catalogue.path) as beside:
        seen: list[int] = []
        add_files(
            catalogue,
            books,
            read=read_toy_file,
            progress=lambda _: seen.append(len(list(beside.melodies()))),
        )
    assert seen == [2, 4, 6, 8]


def test_a_reading_under_way_sees_one_moment_of_the_catalogue(catalogue, books):
    add_files(catalogue, books[:1], read=read_toy_file)
    with open_catalogue(catalogue.path) as beside:
        melodies = beside.melodies()
        next(melodies)
        add_files(catalogue, books, read=read_toy_file)
        assert len(list(melodies)) == 1
        assert len(list(beside.melodies())) == 8


def test_adding_nothing_changes_nothing(catalogue):
    version = catalogue.melody_version()
    assert add_files(catalogue, [], read=read_toy_file).added == 0
    assert catalogue.melody_version() == version
