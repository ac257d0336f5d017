import pytest

from melodex.errors import DescriptionError
from melodex.index.descriptions import describe, read_descriptions
from melodex.index.intake.build import add_files
from melodex.model.description import DescribeReport, Unmatched
from tests.index.toy_reader import read_toy_file, toy_file


@pytest.fixture
def songbook(catalogue, tmp_path):
    tunes = ["1|Old Road|60", "2|Straße|62", "3|Waltz|64", "4|Waltz|65", "5|old-road|66"]
    add_files(catalogue, [toy_file(tmp_path / "a.toy", tunes)], read=read_toy_file)
    assert catalogue.song_ids() == ["old-road", "old-road-2", "strasse", "waltz", "waltz-2"]
    return catalogue


@pytest.fixture
def csv_of(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "levels.csv"
        path.write_bytes(text.encode(encoding))
        return path

    return write


def test_levels_tags_and_other_columns_are_joined_to_songs(songbook, csv_of):
    path = csv_of(
        "song,level,tags,term,remark\n"
        "old-road,2,slow; winter ;Slow,autumn,mind the slide\n"
        "waltz,3.5,,spring,\n"
    )
    assert describe(songbook, path) == DescribeReport(2, ())
    assert songbook.facts("old-road") == {
        "level": (2.0,),
        "tags": ("Slow", "winter"),
        "term": ("autumn",),
        "remark": ("mind the slide",),
    }
    assert songbook.entry("waltz").level == 3.5
    assert songbook.entry("waltz").tags == ()


def test_songs_may_be_named_by_title_whatever_the_capitals(songbook, csv_of):
    assert describe(songbook, csv_of("Title,Level\nSTRASSE,2\n")).described == 1
    assert songbook.entry("strasse").level == 2


def test_each_column_means_its_own_kind_of_name_first(songbook, csv_of):
    describe(songbook, csv_of("song,level\nold-road,2\n"))
    describe(songbook, csv_of("title,level\nold-road,3\nwaltz-2,4\n"))
    assert songbook.entry("old-road").level == 2
    assert songbook.entry("old-road-2").level == 3
    assert songbook.entry("waltz-2").level == 4


def test_the_title_serves_where_the_id_is_left_out(songbook, csv_of):
    report = describe(songbook, csv_of("title,song,level\nStraße,,2\nWaltz,waltz-2,3\n"))
    assert report.described == 2
    assert songbook.entry("waltz-2").level == 3


def test_a_line_for_no_song_or_several_is_listed_and_the_others_count(songbook, csv_of):
    report = describe(songbook, csv_of("title,level\nPolka,1\nWaltz,2\nOld Road,3\nRoad,4\n"))
    assert report.described == 1
    assert report.unmatched == (
        Unmatched(2, "Polka", "no song has this id or title"),
        Unmatched(3, "Waltz", "2 songs have this title (waltz, waltz-2); name one by its id"),
        Unmatched(
            5,
            "Road",
            "no song has this id or title; the nearest: old-road-2 (old-road), old-road (Old Road)",
        ),
    )


def test_an_empty_cell_unsets_a_fact_and_a_missing_column_keeps_it(songbook, csv_of):
    describe(songbook, csv_of("song,level,term\nwaltz,3,spring\n"))
    describe(songbook, csv_of("song,level\nwaltz,\n"))
    assert songbook.facts("waltz") == {"term": ("spring",)}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_spreadsheet_may_write_as_it_likes(songbook, csv_of, encoding, line_end, delimiter):
    lines = ['title,level,"tags"', 'Straße,"2,5","a;b"', "", ",,"]
    text = line_end.join(lines)
    if delimiter != ",":
        text = text.replace(",", delimiter).replace(f"2{delimiter}5", "2,5")
    assert describe(songbook, csv_of(text, encoding)) == DescribeReport(1, ())
    assert songbook.entry("strasse").level == 2.5
    assert songbook.entry("strasse").tags == ("a", "b")


def test_a_cell_of_several_lines_does_not_put_the_line_numbers_out(csv_of):
    path = csv_of('song,remark\na,"one\ntwo"\nb,\n')
    assert [described.line for described in read_descriptions(path)] == [2, 4]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("level,tags\n1,a\n", "line 1: no column is called 'song' or 'title'."),
        ("song,level,Level\nwaltz,1,2\n", "line 1: two columns are called 'level'."),
        ("song,level\nwaltz,easy\n", "line 3: 'easy' in column 'level' is not a number."),
        ("song,level\n\nwaltz,nan\n", "line 4: 'nan' in column 'level' is not a number."),
        ("song,level\nwaltz,1\nwaltz,2\n", "line 4: 'waltz' is the song that line 3 describes."),
        ("song,level\nstrasse,1\nStraße,1\n", "line 4: 'Straße' is the song that line 3"),
        ("song,level\n,3\n", "line 3: no song is named."),
        ("song,level\nwaltz,3,fast\n", "line 3: 'fast' stands in a column without a name."),
        ("song,level,\nwaltz,3,fast\n", "line 3: 'fast' stands in a column without a name."),
        ('song,level\nwaltz,"3\n', "line 3: the cells cannot be told apart"),
        ("\x00\x01\x02", "line 1: no column is called 'song' or 'title'."),
    ],
)
def test_a_wrong_csv_gets_a_sentence_and_changes_nothing(songbook, csv_of, text, problem):
    with pytest.raises(DescriptionError) as caught:
        describe(songbook, csv_of(text.replace("\n", "\nold-road,1\n", 1)))
    assert problem in caught.value.problem
    assert "levels.csv" in caught.value.problem
    assert "nothing has been changed" in caught.value.next_step
    assert songbook.facts("old-road") == {}
    assert songbook.facts("waltz") == {}


def test_an_empty_csv_gets_a_sentence(csv_of):
    with pytest.raises(DescriptionError, match="the file is empty"):
        read_descriptions(csv_of("\n \n"))


def test_a_missing_csv_gets_a_sentence(tmp_path):
    with pytest.raises(DescriptionError, match="there is no such file"):
        read_descriptions(tmp_path / "missing.csv")


def test_a_csv_with_nothing_but_a_header_describes_nothing(songbook, csv_of):
    assert describe(songbook, csv_of("song,level\n")) == DescribeReport(0, ())
