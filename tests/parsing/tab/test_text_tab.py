"""Five-line text tab as players type it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import ScoreParseError
from melodex.parsing.tab.text_tab import read_text_tab

ROLL = """\
Coal Shed Roll

D|-----0-----0---0-|-----0-----0-----|
B|---0-------------|---1-------------|
G|-0-----0-----2h4-|-----------------|
D|-----------------|-2---------------|
g|-------------0---|-------0-----0---|
"""


def song_of(text):
    (song,) = read_text_tab(text, "shed.tab", "class").songs
    return song


def reason_for(text):
    with pytest.raises(ScoreParseError) as caught:
        read_text_tab(text, "shed.tab", "class")
    assert caught.value.next_step
    return caught.value


def one_line(first_string, heading="", names="DBGDg"):
    """Return a tab with the given first string and silent others."""
    silent = "".join("-" if sign not in "|:" else sign for sign in first_string)
    return heading + "\n".join(
        f"{name}{first_string if string == 0 else silent}" for string, name in enumerate(names)
    )


def test_strings_and_frets_are_read_with_the_pitches_they_sound():
    song = song_of("D|-0-5-|\nB|-----|\nG|-----|\nD|-----|\ng|-----|\n")
    # String 1 fret 5 sounds string 5 open (common practice, no source).
    assert song.melody.pitches.tolist() == [62, 67]
    assert song.melody.strings.tolist() == [1, 1]
    assert song.melody.frets.tolist() == [0, 5]
    assert song.tuning == (62, 59, 55, 50, 67)


def test_the_text_above_is_the_title_and_the_file_is_the_source():
    song = song_of(ROLL)
    assert (song.title, song.source.file, song.collection) == (
        "Coal Shed Roll",
        "shed.tab",
        "class",
    )


def test_evenly_spaced_frets_are_eighths_and_the_song_says_so():
    song = song_of(one_line("|-0-2-0-2-0-2-0-2-|"))
    assert song.melody.durations.tolist() == [0.5] * 8
    assert str(song.metre) == "4/4"
    (remark,) = song.remarks
    assert "not stated: 2 characters were read as 1/8, the metre as 4/4" in remark


def test_twice_the_space_is_twice_the_time_whatever_the_spacing_is():
    narrow = song_of(one_line("|-0-2-0---2-0-2---|"))
    wide = song_of(one_line("|---0---2---0-------2---0---2-------|"))
    for song in (narrow, wide):
        assert song.melody.durations.tolist() == [0.5, 0.5, 1, 0.5, 0.5, 1]


def test_spacing_and_metre_above_the_tab_decide():
    heading = "Spacing: 2 characters = 1/16\nMetre: 2/4\n"
    song = song_of(one_line("|-0-2-0---2-0-2---|", heading))
    assert song.melody.durations.tolist() == [0.25, 0.25, 0.5, 0.25, 0.25, 0.5]
    assert str(song.metre) == "2/4"
    assert song.remarks == ()


def test_a_stated_metre_alone_determines_the_unit():
    song = song_of(one_line("|-0-2-0-2-0-2-0-2-0-2-0-2-0-2-0-2-|", "Time: 4/4\n"))
    assert song.melody.durations.tolist() == [0.25] * 16


def test_a_short_first_measure_is_a_pickup():
    song = song_of(one_line("|-0-2-|-0-2-0-2-0-2-0-2-|-0-2-0-2-0-2-0-2-|"))
    assert song.melody.measures[:3].tolist() == [0, 0, 1]
    assert song.melody.beat_strengths[2] == 1


def test_hammer_on_pull_off_and_slide_belong_to_the_note_they_lead_to():
    song = song_of(one_line(r"|-0h2-2p0-2/4-4\2-|"))
    touches = [(touch.note, touch.left_hand) for touch in song.touches]
    assert touches == [(1, "hammer-on"), (3, "pull-off"), (5, "slide"), (7, "slide")]


def test_notes_under_each_other_sound_together():
    song = song_of("D|-0---|\nB|-----|\nG|-0---|\nD|-----|\ng|-0---|\n")
    assert song.melody.pitches.tolist() == [67]
    assert song.melody.chord_tones.pitches.tolist() == [62, 55]
    assert song.melody.chord_tones.strings.tolist() == [1, 3]


def test_the_names_before_the_lines_tell_the_tuning():
    song = song_of("D|-0-|\nC|---|\nG|---|\nC|---|\ng|---|\n")
    assert song.tuning == (62, 60, 55, 48, 67)


def test_without_names_or_heading_open_g_is_assumed_with_a_remark():
    song = song_of(one_line("|-0-2-|", names=["", "", "", "", ""]))
    assert song.melody.pitches.tolist() == [62, 64]
    assert any("No tuning is stated" in remark for remark in song.remarks)


def test_tuning_capo_and_key_may_stand_above():
    song = song_of(one_line("|-0-2-|", "Tuning: double C (gCGCD)\nCapo: 2\nKey: D major\n"))
    assert song.tuning == (64, 62, 57, 50, 69)
    assert song.melody.pitches.tolist() == [64, 66]
    assert str(song.key) == "D major"


def test_systems_follow_each_other_and_two_digit_frets_are_one_note():
    song = song_of(one_line("|-10-12-|") + "\n\nsecond line\n" + one_line("|--0--2-|"))
    assert song.melody.frets.tolist() == [10, 12, 0, 2]
    assert song.melody.measures.tolist() == [1, 1, 2, 2]


def test_repeat_signs_are_played():
    song = song_of(one_line("|:-0-2-:|-4-5-|"))
    assert song.sections.tolist() == [[0.0, 1.0], [0.0, 2.0]]


def test_a_line_of_another_length_is_named_with_its_measure():
    error = reason_for(ROLL.replace("B|---0-------------|", "B|---0-----------|"))
    assert error.line == 4
    assert "measure 1 is ragged: string 2 is 15 characters wide, string 1 is 17" in error.reason


def test_a_missing_bar_line_is_named_with_its_string():
    error = reason_for(ROLL.replace("|-2---------------|", "--2---------------|"))
    assert error.line == 6
    assert "string 4 has 1 measures where string 1 has 2" in error.reason


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (ROLL.replace("g|", "E|-0-|\ng|"), "6 consecutive tab lines"),
        (ROLL.replace("2h4", "234"), "no fret 234"),
        (ROLL.replace("2h4", "-45"), "no fret 45"),
        (one_line("|-0-|").replace("g|---|", "g|-3-|"), "it begins at fret 5"),
        (one_line("|-0-|", "Tuning: ladder\n"), "there is no tuning called 'ladder'"),
        (one_line("|-0-|", names="EBGDA"), "there is no tuning called 'ADGBE'"),
        (one_line("|-0-|", "Capo: two\n"), "leaves no neck"),
        (one_line("|-0-|", f"Capo: {'9' * 5_000}\n"), "leaves no neck"),
        (one_line(f"|-{'9' * 5_000}-|"), "no fret 9999999999…"),
        (one_line("|-0-|", "Metre: waltz\n"), "'waltz' is not a metre"),
        (one_line("|-0-|", "Spacing: wide\n"), "'wide' cannot be read"),
        ("Only words here\n", "it contains no tab"),
        (one_line("|---|"), "no notes"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(text, reason):
    assert reason in reason_for(text).reason


def test_a_line_of_very_many_spaces_is_passed_over_at_once():
    assert len(song_of(" " * 200_000 + "x\n" + ROLL).melody) > 0


def test_a_measure_longer_than_any_metre_is_free_with_a_remark():
    song = song_of(one_line("|" + "0-2-" * 600 + "|"))
    assert song.metre.is_free
    assert len(song.melody) == 1200
    assert "the metre as none" in song.remarks[0]


def test_frets_too_close_for_their_spacing_are_refused():
    even, silent = "|" + "-0--" * 12 + "|", "|" + "-" * 48 + "|"
    error = reason_for("\n".join([even, silent.replace("|--", "|0-", 1), silent, silent, silent]))
    assert "measure 1 has notes too close together" in error.reason


@given(
    lines=st.lists(
        st.text(st.sampled_from("|-:0123456789hp/\\\\DBGgx \u266d"), max_size=24), max_size=16
    )
)
def test_rubbish_is_read_or_refused_with_a_sentence(lines):
    try:
        (song,) = read_text_tab("\n".join(lines), "shed.tab", "").songs
    except ScoreParseError as error:
        assert error.reason  # noqa: PT017 - either outcome is right
    else:
        assert len(song.melody)


@given(
    rows=st.lists(
        st.text(st.sampled_from("-02h"), min_size=12, max_size=12), min_size=5, max_size=5
    )
)
def test_five_even_lines_are_read_or_refused_with_a_sentence(rows):
    text = "".join(f"|-{row}-|-{row[::-1]}-|\n" for row in rows)
    try:
        (song,) = read_text_tab(text, "shed.tab", "").songs
    except ScoreParseError as error:
        assert error.reason  # noqa: PT017 - either outcome is right
    else:
        assert (song.melody.durations > 0).all()


def test_errors_name_the_file():
    assert reason_for("words\n").path == Path("shed.tab")
