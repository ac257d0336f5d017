"""The command `report`."""

import pytest

from melodex.report.typesetting import typeset

PLAN = '[[lesson]]\nsong = "the-weir-at-dusk"\n[[lesson]]\nsong = "harbour-lights-ahead"\n'
LICK = ("--from", "dusk", "--measures", "1-2")


@pytest.fixture
def plan(tmp_path):
    """A plan of two lessons."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    ("arguments", "title"),
    [
        (("--plan",), "Lesson plan: 2 lessons"),
        (("--pair", "dusk", "harbour"), "What The Weir at Dusk and Harbour Lights Ahead share"),
        (("--audit",), "Audit of a repertoire"),
        (LICK, typeset("Matches of the lick: The Weir at Dusk, measures 1-2")),
        (("--notes", "D4 E4 G4 A4"), "Matches of the lick: D4 E4 G4 A4"),
    ],
)
def test_each_kind_of_report_is_one_html_file(run, plan, tmp_path, arguments, title):
    path = tmp_path / "report.html"
    given = (*arguments, plan) if arguments == ("--plan",) else arguments
    outcome = run("report", *given, "--write", path)
    assert outcome.code == 0
    assert f"Written: {path}" in outcome.err
    text = path.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert f"<h1>{title}</h1>" in text


@pytest.mark.usefixtures("catalogue")
def test_a_report_of_an_audit_sets_the_songs_of_two_values_side_by_side(run, tmp_path):
    path = tmp_path / "report.html"
    assert run("report", "--audit", "--by", "metre", "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert "<h2>Tunes only in 3/4, the most new first</h2>" in text
    assert "<h2>What two groups have in common</h2>" in text
    assert "the-weir-at-dawn" not in text


@pytest.mark.usefixtures("catalogue")
def test_filters_and_a_limit_choose_the_songs_of_a_lick(run, tmp_path):
    path = tmp_path / "report.html"
    assert run("report", *LICK, "--limit", "1", "--write", path).code == 0
    assert path.read_text(encoding="utf-8").count('id="place-') == 1
    assert run("report", *LICK, "--metre", "3/4", "--write", path).code == 0
    assert "The Weir at Dawn" in path.read_text(encoding="utf-8")
    assert "Harbour" not in path.read_text(encoding="utf-8")


@pytest.mark.usefixtures("catalogue")
def test_notes_of_a_song_shown_in_another_octave_do_not_count_as_differing(run, tmp_path):
    low, path = tmp_path / "low.abc", tmp_path / "report.html"
    low.write_text(
        "X:1\nT:The Low Weir\nM:4/4\nL:1/8\nK:G\nD,,E,,G,,A,, B,,A,,G,,E,,|D,,E,,G,,A,, G,,4|\n",
        encoding="utf-8",
    )
    assert run("add", low).code == 0
    assert run("report", "--pair", "dusk", "low weir", "--write", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert "it is 1 octave above what is written" in text
    assert 'class="differs-frame"' not in text


@pytest.mark.usefixtures("catalogue")
def test_a_song_off_the_neck_is_reported_without_tab_and_says_so(run, tmp_path):
    wide, path = tmp_path / "wide.abc", tmp_path / "report.html"
    wide.write_text("X:1\nT:Wide Gate\nM:4/4\nL:1/4\nK:G\nC,,,Gc'g''|GABc|\n", encoding="utf-8")
    assert run("add", wide).code == 0
    assert run("report", "--pair", "wide gate", "dusk", "--write", path).code == 0
    assert "it does not lie on the neck" in path.read_text(encoding="utf-8")


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "The subject of the report is missing."),
        (("--audit", *LICK), "A report is about one thing."),
        (("--audit", "--pair", "dusk", "dawn"), "A report is about one thing."),
        (("--from", "dusk"), "--from and --measures belong together."),
        ((*LICK, "--by", "metre"), "--by chooses the groups of an audit."),
        (("--audit", "--between", "3/4", "4/4"), "--between names two values of a column."),
    ],
)
def test_a_report_about_nothing_or_two_things_is_a_mistake(run, tmp_path, arguments, said):
    stopped = run("report", *arguments, "--write", tmp_path / "report.html")
    assert stopped.code == 2
    assert said in stopped.err
    assert not (tmp_path / "report.html").exists()


@pytest.mark.usefixtures("catalogue")
def test_a_file_that_cannot_be_written_or_a_song_that_is_missing_gets_a_sentence(run, tmp_path):
    stopped = run("report", "--audit", "--write", tmp_path / "no folder" / "report.html")
    assert stopped.code == 1
    assert "cannot be written" in stopped.err
    stopped = run("report", "--pair", "dusk", "nowhere", "--write", tmp_path / "report.html")
    assert stopped.code == 1
    assert "nowhere" in stopped.err


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--pair", "harbour", "dawn"), "No phrase of five notes or more is shared."),
        ((*LICK, "--metre", "3/4", "--level", "1"), "the filters exclude every song"),
        (("--audit", "--metre", "3/4", "--level", "1"), "so there is nothing to draw"),
    ],
)
def test_where_nothing_is_found_the_report_says_so(run, tmp_path, arguments, said):
    levels, path = tmp_path / "levels.csv", tmp_path / "report.html"
    levels.write_text("song,level\nharbour-lights-ahead,1\n", encoding="utf-8")
    assert run("describe", levels).code == 0
    assert run("report", *arguments, "--write", path).code == 0
    assert said in " ".join(path.read_text(encoding="utf-8").split())


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize("name", ["report.pdf", "report", "report.html.txt"])
def test_a_report_is_written_to_an_html_file_only(run, tmp_path, name):
    stopped = run("report", *LICK, "--write", tmp_path / name)
    assert stopped.code == 2
    assert f"cannot be written to '{name}'" in stopped.err
    assert "print that file from your browser" in stopped.err
    assert not (tmp_path / name).exists()


@pytest.mark.usefixtures("catalogue")
def test_filters_that_a_report_would_ignore_are_a_mistake(run, tmp_path, plan):
    for about in (("--pair", "dusk", "harbour"), ("--plan", plan)):
        stopped = run("report", *about, "--metre", "3/4", "--write", tmp_path / "report.html")
        assert stopped.code == 2
        assert "Filters choose the songs of an audit or of a lick" in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_beats_are_counted_below_each_tab_of_a_lick_but_an_audit_has_none(run, tmp_path):
    path = tmp_path / "report.html"
    assert run("report", *LICK, "--count", "--write", path).code == 0
    assert "hand count" in path.read_text(encoding="utf-8")
    refused = run("report", "--audit", "--count", "--write", path)
    assert refused.code == 2
    assert "leave --count out" in refused.err
