"""Commands that compare many songs say so on standard error, once where no terminal is."""

import pytest

from melodex.cli import progress


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    "arguments",
    [
        ("lessons", "--seconds", "0.5"),
        ("lessons", "--plan", "PLAN"),
        ("audit",),
        ("report", "--audit", "--write", "REPORT"),
        ("report", "--plan", "PLAN", "--write", "REPORT"),
        ("next", "--student", "STUDENT"),
    ],
    ids=" ".join,
)
def test_what_takes_long_is_announced_once_in_a_pipe(run, tmp_path, monkeypatch, arguments):
    monkeypatch.setattr(progress, "NOTICE_ABOVE", -1.0)  # everything takes long
    plan, student = tmp_path / "plan.toml", tmp_path / "ann.txt"
    songs = ("the-weir-at-dusk", "harbour-lights-ahead")
    plan.write_text("".join(f'[[lesson]]\nsong = "{song}"\n' for song in songs), encoding="utf-8")
    student.write_text(f"{songs[0]}\n", encoding="utf-8")
    files = {"PLAN": plan, "REPORT": tmp_path / "report.html", "STUDENT": student}
    outcome = run(*(files.get(argument, argument) for argument in arguments))
    assert outcome.code == 0
    assert outcome.err.count("this will take about") == 1
    assert "this will take about" not in outcome.out
