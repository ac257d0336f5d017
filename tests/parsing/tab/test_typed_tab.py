"""Text tab with other signs that players type."""

import pytest

from melodex.errors import ScoreParseError
from melodex.model.tuning import tuning_named
from melodex.parsing.tab.tab_lines import holds_tab
from melodex.parsing.tab.text_tab import read_text_tab

STATED = "Tuning: open G\nMetre: 2/4\nSpacing: 2 characters = 1/8\n\n"


def tab(*lines, heading=STATED, labels=("D", "B", "G", "D", "g")):
    """Return five lines with labels; missing lines are silent."""
    drawn = lines[0][: lines[0].rindex("|") + 1]
    silent = "".join(sign if sign in "|:" else "-" for sign in drawn)
    rows = [*lines, *[silent] * (5 - len(lines))]
    return heading + "\n".join(label + row for label, row in zip(labels, rows, strict=True)) + "\n"


def song_of(text):
    (song,) = read_text_tab(text, "shed.tab", "class").songs
    return song


def touches(song):
    return [(touch.note, touch.string, touch.left_hand, touch.finger) for touch in song.touches]


def test_strings_may_be_numbered():
    song = song_of(tab("|-0-2-0-2-|", labels=("1", "2", "3", "4", "5"), heading=""))
    assert song.melody.pitches.tolist() == [62, 64, 62, 64]


@pytest.mark.parametrize(
    ("name", "notes"),
    [  # Common practice, no source.
        ("sawmill", "gDGCD"),
        ("mountain minor", "gDGCD"),
        ("double C", "gCGCD"),
        ("double C tuning", "gCGCD"),
        ("drop C", "gCGBD"),
    ],
)
def test_tunings_have_the_names_that_players_use(name, notes):
    assert str(tuning_named(name)) == notes
    song = song_of(tab("|-0-2-|", heading=f"Tuning: {name}\n"))
    assert song.tuning == tuning_named(notes).open_strings


def test_a_dead_note_is_a_rest_and_the_song_says_where():
    song = song_of(tab("|-0-x-0-2-|"))
    assert song.melody.onsets.tolist() == [0.0, 1.0, 1.5]
    assert song.melody.durations.tolist() == [0.5] * 3
    assert song.remarks == (
        "Dead notes (x) have no pitch, and were read as rests: line 5, measure 1.",
    )


@pytest.mark.parametrize("choke", ["7b--", "7b9-", "7c--", "7ch-", "7br-"])
def test_a_choke_belongs_to_the_fret_before_it(choke):
    song = song_of(tab(f"|-{choke}0---|"))
    assert touches(song) == [(0, 1, "choke", "")]
    assert song.melody.frets.tolist() == [7, 0]
    assert song.remarks == ()


@pytest.mark.parametrize("slide", ["2sl4", "2s-4", "2/-4", "2-/4"])
def test_slides_have_several_signs(slide):
    assert touches(song_of(tab(f"|-{slide}-0---|"))) == [(1, 1, "slide", "")]


def test_a_movement_may_lead_over_the_bar_line():
    assert touches(song_of(tab("|-0-0-0-2h|-4-0-0-0-|"))) == [(4, 1, "hammer-on", "")]


def test_an_unknown_sign_costs_a_remark_that_names_line_and_measure():
    song = song_of(tab("|-0-2-0-2-|-0q2-0-2-|"))
    assert len(song.melody) == 8
    assert song.remarks == ("Unknown signs were ignored: 'q' in line 5, measure 2.",)


def test_many_unknown_signs_are_counted():
    song = song_of(tab("|-0-2-0-2-|-qwert-yu-|"))
    assert song.remarks[0].endswith("'t' in line 5, measure 2; and 2 more.")


@pytest.mark.parametrize("wide", ["----%----", "  %  "])
def test_a_percent_sign_repeats_the_measure_before(wide):
    blank = wide.replace("%", wide[0])
    rows = [f"|-0-2-0-2-|{wide}|", *[f"|---------|{blank}|"] * 4]
    song = song_of(tab(*rows))
    assert song.melody.frets.tolist() == [0, 2, 0, 2] * 2
    assert song.measures.onsets.tolist() == [0.0, 2.0]


def test_a_measure_is_played_as_often_as_it_says():
    rows = ["|-0-2-0-2-|x2|-5---5---|", *["|---------|  |---------|"] * 4]
    assert song_of(tab(*rows)).sections.tolist() == [[0.0, 2.0], [0.0, 4.0]]


def test_a_line_is_played_as_often_as_it_says_behind_it():
    text = tab("|-0-2-0-2-|-5---5---| x3") + "\n" + tab("|-0-------|", heading="")
    assert song_of(text).sections.tolist() == [[0.0, 4.0], [0.0, 4.0], [0.0, 6.0]]


def test_a_repeat_is_played_as_often_as_it_says_behind_it():
    song = song_of(tab("|-0-------|:-0-2-0-2-:| (x3)"))
    assert song.sections.tolist() == [[0.0, 4.0], [2.0, 4.0], [2.0, 4.0]]


def test_tab_characters_are_spaces():
    text = tab("|-0-2-0-2-|").replace("D|", "D\t|").replace("B|", "B\t|").replace("G|", "G\t|")
    text = text.replace("g|", "g\t|")
    assert holds_tab(text)
    assert song_of(text).melody.frets.tolist() == [0, 2, 0, 2]


def test_dots_close_to_a_fret_take_the_place_of_a_dash():
    song = song_of(tab("|:0-2-0-2:|-0-------|"))
    assert song.melody.onsets.tolist() == [0.0, 0.5, 1.0, 1.5, 2.0]
    assert song.sections.tolist() == [[0.0, 2.0], [0.0, 4.0]]


def test_endings_are_played_in_turn():
    numbers = "   1         2 [1.      3 [2.\n"
    text = STATED + numbers + tab("|-0-2-0-2-|-5---5--:|-0-------|", heading="")
    song = song_of(text.replace("   1 ", "  1  "))
    assert song.sections.tolist() == [[0.0, 4.0], [0.0, 2.0], [4.0, 6.0]]
    assert [line.ending for line in song.bar_lines] == ["1", "2"]


@pytest.mark.parametrize("signs", ["            |1.       |2.", "             1.        2."])
def test_endings_may_stand_without_measure_numbers(signs):
    text = STATED + signs + "\n" + tab("|-0-2-0-2-|-5---5--:|-0-------|", heading="")
    assert song_of(text).sections.tolist() == [[0.0, 4.0], [0.0, 2.0], [4.0, 6.0]]


def test_chords_and_fingers_are_read_where_they_stand():
    text = (
        STATED
        + "   G   D7\n"
        + tab("|-0---0-2-|", "|-----0---|", heading="")
        + "   M   m T\n       i\n"
    )
    song = song_of(text)
    assert [(chord.onset, chord.text) for chord in song.chords] == [(0.0, "G"), (1.0, "D7")]
    assert touches(song) == [(0, 1, "", "M"), (1, 1, "", "M"), (1, 2, "", "I"), (2, 1, "", "T")]


def test_words_above_and_below_are_passed_over():
    song = song_of(STATED + "slowly, by heart\n" + tab("|-0-2-0-2-|", heading="") + "1 & 2 &\n")
    assert len(song.melody) == 4
    assert song.chords == ()


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        (tab("|-0-2-0-2-|-0-45-0--|"), 5, "measure 2, string 1: it has no fret 45"),
        (
            tab("|-0-------|", "|--0------|", heading="Spacing: 4 characters = 1/8\n"),
            2,
            "measure 1 has notes too close together",
        ),
        (tab("|-0-|", heading="Title: Gate\nTuning: ladder\n"), 2, "no tuning called 'ladder'"),
        (tab("|-0-|", heading="Metre: waltz\n"), 1, "'waltz' is not a metre"),
        (tab("|-0-|", heading="Spacing: wide\n"), 1, "'wide' cannot be read"),
    ],
)
def test_an_error_names_the_line(text, line, reason):
    with pytest.raises(ScoreParseError) as caught:
        read_text_tab(text, "shed.tab", "class")
    assert caught.value.line == line
    assert reason in caught.value.reason


@pytest.mark.parametrize(
    ("words", "notes", "capo"),
    [
        ("Sawmill tuning, capo 2", "gDGCD", 2),
        ("tuned to gDGCD", "gDGCD", 0),
        ("in double C tuning", "gCGCD", 0),
        ("Capo on the 3", "gDGBD", 3),
    ],
)
def test_tuning_and_capo_may_be_written_in_words(words, notes, capo):
    song = song_of(tab("|-0-2-|", heading=f"Gate Roll\n{words}\n\n", labels=("",) * 5))
    assert song.title == "Gate Roll"
    assert song.tuning == tuning_named(notes, capo=capo).open_strings


def test_a_title_with_the_word_tuning_stays_a_title():
    assert song_of(tab("|-0-2-|", heading="Tuning Up\n\n")).title == "Tuning Up"


def test_lines_that_end_without_a_bar_line_need_not_be_equally_long():
    rows = ["|-0---2-|-0-2", "|-------|-----1-0-", "|-------|---", "|-------|-", "|-------|-"]
    song = song_of("\n".join(f"{label}{row}" for label, row in zip("DBGDg", rows, strict=True)))
    assert song.melody.onsets.tolist() == [0.0, 1.0, 1.5, 2.0, 2.5, 3.0]
    assert song.melody.pitches.tolist() == [62, 64, 62, 64, 60, 59]


def test_the_last_note_needs_no_dash_behind_it():
    song = song_of(tab("|0-2-0|", "|-----|", heading="Metre: free\n"))
    assert song.melody.durations.tolist() == [0.5] * 3


@pytest.mark.parametrize("column", [11, 13, 15])
def test_an_endings_number_stands_near_its_bar_line(column):
    bars = "|:-0-2-0-2-|-0-0-0-0-:|-2-2-2-2-|"
    song = song_of(tab(bars, heading=f"{STATED}{' ' * column}1.         2.\n"))
    assert [(line.onset, line.ending) for line in song.bar_lines if line.ending] == [
        (2.0, "1"),
        (4.0, "2"),
    ]


def test_letters_of_fingers_under_no_note_are_left_out_with_a_remark():
    song = song_of(tab("|-0-2-|-0-2-|") + "   T I    I\n")
    assert song.remarks == ("Finger letters that are not under a note were left out: measure 2.",)


def test_lines_of_windows_and_an_indent_of_tab_characters_change_nothing():
    plain = tab("|-0-2-|-0h2-|")
    indented = "\r\n".join("\t" + line if "|" in line else line for line in plain.splitlines())
    assert touches(song_of(indented)) == touches(song_of(plain))
    assert song_of(indented).melody.onsets.tolist() == song_of(plain).melody.onsets.tolist()


def test_common_and_cut_time_have_their_signs():
    assert str(song_of(tab("|-0-2-|", heading="Time: C\n")).metre) == "4/4"
    assert str(song_of(tab("|-0-2-|", heading="Time: C|\n")).metre) == "2/2"


def test_a_metre_above_a_later_group_holds_from_there_on():
    song = song_of(tab("|-0-2-0-2-|") + "\n" + tab("|-0-2-0-|", heading="Metre: 3/8\n"))
    assert str(song.metre) == "2/4"
    assert [(change.onset, str(change.metre)) for change in song.metre_changes] == [(2.0, "3/8")]
