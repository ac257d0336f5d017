"""What is kept of a file that was read."""

from melodex.index.intake.file_records import MOST_NOTES_PLAYED, record_file
from melodex.parsing.corpus_walk import MusicFile
from melodex.parsing.formats import read_file

LONG = "X:1\nT:Long\nP:((A9)9)9\nM:4/4\nL:1/8\nK:G\nP:A\n" + "DEGABAGE|\n" * 10
SHORT = "X:2\nT:Short\nM:4/4\nL:1/8\nK:G\nDEGABAGE|\n"


def test_a_song_too_long_to_compare_is_a_failure_and_its_neighbour_is_kept(tmp_path):
    path = tmp_path / "two.abc"
    path.write_text(f"{LONG}\n{SHORT}", encoding="utf-8")
    record = record_file(read_file, MusicFile(path, "two.abc", "book"))
    assert [song.title for song in record.songs] == ["Short"]
    (failure,) = record.failures
    assert (failure.file, failure.tune) == ("two.abc", "1")
    assert f"notes as played, and {MOST_NOTES_PLAYED:,} are the most" in failure.reason
