"""How much of a song is known, worked out by hand on a few invented tunes."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.keeping_licks import keep_lick
from melodex.finder.teaching.known_material import known_material
from melodex.finder.teaching.next_songs import next_songs
from melodex.index.store import open_catalogue
from melodex.search.query import lick_from_abc
from tests.invented_tunes import CHANGED, TUNE, VERSION, book, up_a_fifth


@pytest.fixture
def catalogue_of(tmp_path):
    """Open a catalogue of some tunes."""
    opened = []

    def make(*tunes):
        (tmp_path / "book.abc").write_text(book(*tunes), encoding="utf-8")
        catalogue = open_catalogue(tmp_path / "songs.db", create=True)
        opened.append(catalogue)
        add_songs(catalogue, [tmp_path / "book.abc"])
        return catalogue

    yield make
    for catalogue in opened:
        catalogue.close()


@pytest.fixture
def student(tmp_path):
    """Write a student's file."""

    def write(text):
        path = tmp_path / "ann.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_a_copy_in_another_key_is_wholly_known(catalogue_of, student):
    catalogue = catalogue_of(("One", "G", TUNE), ("Other", "D", up_a_fifth(TUNE)))
    known = known_material(catalogue, "Other", student("One\n"))
    assert known.share == 1
    assert next_songs(catalogue, student("One\n")) == []


def test_a_version_is_known_but_for_its_changed_measures(catalogue_of, student):
    catalogue = catalogue_of(("One", "G", TUNE), ("Other", "G", VERSION))
    known = known_material(catalogue, "Other", student("One\n"))
    new = [measure.measure for measure in known.measures if not measure.known]
    assert new == [number + 1 for number in CHANGED]
    assert known.share == pytest.approx(22 / 24, abs=0.02)  # a version may join at a note or two
    (step,) = (song.step for song in next_songs(catalogue, student("One\n")))
    assert step is not None
    assert step.measures in {(6, 6), (17, 17)}


def test_who_knows_half_of_a_tune_knows_half_of_its_copy(catalogue_of, student):
    catalogue = catalogue_of(("One", "G", TUNE), ("Other", "D", up_a_fifth(TUNE)))
    known = known_material(catalogue, "Other", student("song,up to measure\nOne,12\n"))
    assert known.share == 0.5
    assert [measure.measure for measure in known.measures if measure.known] == list(range(1, 13))


def test_what_a_song_repeats_is_known_with_the_first_time(catalogue_of, student):
    catalogue = catalogue_of(("One", "G", [*TUNE[:4], *TUNE[8:12], *TUNE[:4]]))
    known = known_material(catalogue, "One", student("song,up to measure\nOne,4\n"))
    assert [measure.measure for measure in known.measures if measure.known] == [
        1,
        2,
        3,
        4,
        9,
        10,
        11,
        12,
    ]
    assert known.share == pytest.approx(8 / 12, abs=0.0001)


def test_a_tune_with_nothing_in_common_is_new(catalogue_of, student):
    other = ["G4 A4", "B8", "d6 B2", "A8", "c4 B2 A2", "G8"]
    catalogue = catalogue_of(("One", "G", TUNE), ("Other", "G", other))
    known = known_material(catalogue, "Other", student("One\n"))
    assert known.share == 0
    assert known.measures[0].known_from == ()


def test_a_kept_lick_over_half_a_measure_makes_half_of_it_known(catalogue_of, student):
    catalogue = catalogue_of(("One", "G", TUNE), ("Other", "G", [TUNE[12], "G4 A4", "b2ag A4"]))
    keep_lick(catalogue, "climb", lick_from_abc("M:4/4\nL:1/8\nb2ag"))
    known = known_material(catalogue, "Other", student("lick\nclimb\n"))
    (last,) = known.measures[2:]
    assert (last.known, last.known_beats, last.beats) == (((0.0, 2.0),), 2.0, 4.0)
    assert known.share == pytest.approx(2 / 12, abs=0.0001)
