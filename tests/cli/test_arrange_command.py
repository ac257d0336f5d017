"""The command `arrange`."""

import pytest


@pytest.mark.usefixtures("catalogue")
def test_a_tune_is_arranged_and_shown_as_tab(run):
    shown = run("arrange", "harbour", "--measures", "1-1")
    assert shown.code == 0
    assert "Title: Harbour Lights Ahead (arranged)" in shown.out
    # From C, no sharps, to G: a fifth up or a fourth down; the capo makes up for it.
    assert "capo at fret 5" in shown.err


@pytest.mark.usefixtures("catalogue")
def test_the_simple_form_and_the_roll_may_be_chosen(run):
    shown = run("arrange", "dawn", "--roll", "alternating thumb", "--simple")
    assert "(arranged simply)" in shown.out
    assert not set("hp/") & set(shown.out.split("Spacing: ")[1].partition("\n")[2])
    stopped = run("arrange", "dawn", "--roll", "sausage")
    assert stopped.code == 2
    assert "alternating-thumb" in stopped.err


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize("suffix", [".tab", ".musicxml"])
def test_an_arrangement_is_written_to_a_file_that_is_added_again(run, tmp_path, suffix):
    path = tmp_path / f"dawn{suffix}"
    assert run("arrange", "dawn", "--write", path).code == 0
    assert run("add", path).code == 0
    assert "(arranged)" in run("tab", "the-weir-at-dawn-arranged").out


@pytest.mark.usefixtures("catalogue")
def test_up_the_neck_is_an_option(run):
    shown = run("arrange", "dawn", "--up-the-neck")
    assert shown.code == 0
    assert "(arranged up the neck)" in shown.out
