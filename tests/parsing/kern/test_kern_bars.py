"""Bar lines of **kern."""

import pytest

from melodex.model.song import BarLine
from melodex.parsing.kern.kern_bars import bars_by_onset, measures_between, special_bar_lines
from melodex.parsing.kern.kern_tandems import Event
from tests.parsing.kern.test_kern_reader import kern
from tests.parsing.score.hand_scores import song_from


@pytest.mark.parametrize(
    ("sign", "style"),
    [
        ("=2", ""),
        ("=2||", "double"),
        ("==", "double"),
        ("=2|!", "final"),
        ("=:|!", "repeat end"),
        ("=2:|!", "repeat end"),
        ("=!|:", "repeat start"),
        ("=2:|!|:", "repeat both"),
        ("=:!!:", "repeat both"),
        ("=2||-", ""),  # not drawn
    ],
)
def test_signs_of_a_bar_line_give_its_style(sign, style):
    # Source: the reference of the **kern representation, "Signifiers": | is a thin line, ! a thick
    # one, : dots, - an invisible line, == a double bar line.
    (line,) = special_bar_lines(bars_by_onset([Event(4.0, 1, sign)])) or [BarLine(4.0, "")]
    assert line.style == style


def test_a_bar_line_before_the_first_note_is_special_only_if_it_starts_a_repeat(tmp_path):
    assert song_from(tmp_path, kern("==1", "4c"), "tune.krn").bar_lines == ()
    song = song_from(tmp_path, kern("=1!|:", "4c", "=:|!", "4d"), "tune.krn")
    assert [line.style for line in song.bar_lines] == ["repeat start", "repeat end"]
    assert song.sections.tolist() == [[0, 1], [0, 2]]


@pytest.mark.parametrize(
    ("bars", "numbers"),
    [
        ([(1.0, "=1"), (5.0, "=2")], [0, 1, 2]),  # a pickup
        ([(0.0, "=1-"), (4.0, "=2")], [1, 2]),
        ([(0.0, "=-"), (4.0, "=2")], [1, 2]),
        ([(1.0, "=34"), (5.0, "=35")], [33, 34, 35]),
        ([(0.0, "=1"), (2.0, "=1b"), (4.0, "=2")], [1, None, 2]),  # a divided measure
        ([(0.0, "=1"), (4.0, "=="), (4.0, "=2")], [1, 2]),  # two signs at one place
        ([(4.0, "=")], [None, None]),
    ],
)
def test_measures_have_the_numbers_written(bars, numbers):
    measures = measures_between(bars_by_onset(Event(onset, 1, sign) for onset, sign in bars))
    assert [measure.number for measure in measures] == numbers


def test_hundreds_of_thousands_of_signs_at_one_place_are_one_bar_line():
    # The time for these was once quadratic in their number; no time is tested here.
    signs = [Event(4.0, line, "=2:|!") for line in range(200_000)]
    (line,) = special_bar_lines(bars_by_onset([*signs, Event(4.0, 9, "=" * 200_000)]))
    assert line == BarLine(4.0, "repeat end")
