import pytest

from melodex.parsing.abc.abc_song import LATE_TIES, OPEN_CHORD
from melodex.parsing.abc.abc_tune import OPEN_FIELD
from tests.parsing.abc.abc_examples import pitches, song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.


def test_decorations_spacers_slurs_and_line_breaks_make_no_notes():
    # Source: sections 4.14 (decorations, also undefined ones), 4.16, 6.1, 10.2.2, 12.2.
    odd = "~C HD !trill!E !nonsense!F +fermata+G (AB) .c vd ue y3 f`g!\na$b TC !D.C.!"
    assert pitches(odd) == pitches("CDEFGABcdefgabC")


def test_annotations_are_no_chords_and_chord_symbols_keep_their_onset():
    # Source: sections 4.18 and 4.19.
    song = song_of('"G7"GA "^slow"B"4"c|"F#m/c#"de "Allegro"f "Am(C)"g "_low"a "Bb°"b')
    assert [(chord.onset, chord.text) for chord in song.chords] == [
        (0, "G7"),
        (2, "F#m/c#"),
        (3.5, "Am"),
        (4.5, "Bb°"),
    ]


def test_the_highest_note_of_a_chord_is_the_melody_and_the_others_its_tones():
    # Source: section 4.17; [C2E2G2]3 has the same meaning as [CEG]6.
    song = song_of("[CEG]2 [C2E2G2]3 [DD] c")
    assert song.melody.pitches.tolist() == [67, 67, 62, 72]
    assert song.melody.durations.tolist() == [1, 3, 0.5, 0.5]
    assert song.melody.chord_tones.pitches.tolist() == [60, 64, 60, 64]
    assert song.melody.chord_tones.notes.tolist() == [0, 0, 1, 1]


def test_grace_notes_are_kept_apart_with_the_note_that_they_lead_to():
    # Source: section 4.12.
    song = song_of("{gef}e {/g}C A{b}|")
    assert song.melody.pitches.tolist() == [76, 60, 69]
    assert song.melody.grace_notes.notes.tolist() == [0, 0, 0, 1, 2]
    assert song.melody.grace_notes.pitches.tolist() == [79, 76, 77, 79, 83]


@pytest.mark.parametrize("body", ["abc-|cba", "c4-c4", "c.-c", "c-\nc", "[ec]-[ec]", "c-{d}c"])
def test_ties_join_notes_within_and_between_bars_and_lines(body):
    # Source: section 4.11.
    assert len(song_of(body).melody) == {"abc-|cba": 5}.get(body, 1)


@pytest.mark.parametrize(
    "body",
    ["c4 -c4", "c|-c", "c| -c", "c\n-c", "[ec] -[ec]", 'c "G"-c', "c - c", "c -{d}c", "^c|-c"],
)
def test_a_tie_before_its_second_note_is_read_with_a_remark(body):
    # Section 4.11 does not allow it; 209 of the 1,034 tunes of one open data set have it.
    song = song_of(body)
    assert len(song.melody) == 1
    assert song.remarks == (LATE_TIES.format(1),)


@pytest.mark.parametrize("body", ["d2 -ef", "c z -c", "-c c", "c- -d c"])
def test_a_tie_before_a_note_that_it_cannot_join_changes_nothing(body):
    song = song_of(body)
    assert len(song.melody) == sum(character.isalpha() and character != "z" for character in body)
    assert song.remarks == ()


def test_a_chord_without_closing_bracket_ends_at_the_next_space_or_bar_line():
    song = song_of("[CEG BA|[CEG|[CEG[DFA]")
    assert song.melody.pitches.tolist() == [67, 71, 69, 67, 67, 69]
    assert song.remarks == (OPEN_CHORD,)


def test_a_metre_without_closing_bracket_ends_at_the_next_space():
    song = song_of("CDEF|[M:3/4 CDE|[M:")
    assert [str(change.metre) for change in song.metre_changes] == ["3/4"]
    assert song.remarks == (OPEN_FIELD.format("[M:3/4"), OPEN_FIELD.format("[M:"))


def test_a_line_is_a_phrase_only_where_the_caller_says_so():
    body = "CDEF|GA\nBc|\\\nde\nfg|"
    assert song_of(body, line_is_phrase=True).melody.phrase_ends.tolist() == [5, 9, 11]
    assert song_of(body).melody.phrase_ends.tolist() == []


def test_a_line_that_is_a_phrase_and_ends_a_full_measure_ends_the_measure():
    # Measured on the Essen books: they leave out the bar line at the end of a line.
    body = "CDEFGABc|cBAGFEDC\nCDEFGABc\nCD\nEFGABc|"
    assert song_of(body, line_is_phrase=True).measures.onsets.tolist() == [0, 4, 8, 12]
    assert song_of(body).measures.onsets.tolist() == [0, 4]


def test_an_accidental_goes_on_at_the_end_of_a_line_without_bar_line():
    # Source: section 11.3: up to the end of the bar.
    body = "CDEFGAB^c\ncdefgabc|"
    assert song_of(body, line_is_phrase=True).melody.pitches.tolist()[7:9] == [73, 73]


def test_the_melody_voice_is_the_first_unless_a_name_or_clef_says_otherwise():
    # The rule is ours; the layout is that of section 7.
    two = "[V:1]CDEF|\n[V:2]cdef|\n[V:1]G|\n[V:2]g|\n"
    assert pitches(two) == [60, 62, 64, 65, 67]
    assert pitches(two, 'V:1\nV:2 name="Melody"\nK:C') == [72, 74, 76, 77, 79]
    assert pitches(two, "V:1 clef=bass\nV:2\nK:C") == [72, 74, 76, 77, 79]
    assert song_of(two).remarks == ('Read voice 1 of 2, "1"; the other is left out.',)


def test_voices_keep_their_own_time_key_and_length():
    # Source: section 7.3.
    body = "[V:1] C4|[M:3/4]CEG|Gce|\n[V:2] [K:G][L:1/4]f|[M:3/4]G3 |E3 |"
    song = song_of(body)
    assert song.melody.onsets.tolist() == [0, 2, 2.5, 3, 3.5, 4, 4.5]
    assert song.melody.pitches.tolist()[0] == 60


def test_a_voice_may_change_its_clef_when_it_comes_again():
    # Source: section 7: properties may also be set or changed in the tune body.
    assert pitches("V:1\nc|\nV:2\nc|\nV:1 octave=-1\nc|") == [72, 60]


def test_a_tempo_in_the_tune_counts_where_the_header_has_none():
    # Source: section 3, table: Q: may stand in the tune body.
    assert song_of("[Q:1/4=90]CDEF|[Q:1/4=60]C").tempo == 90
    assert song_of("[Q:1/4=90]CDEF", "Q:1/4=120\nK:C").tempo == 120


def test_a_voice_overlay_is_passed_over():
    # Source: section 7.4: & goes back to the bar line before, && to the one before that.
    overlaid = "G2 | B d g b &\\\n  D D D D &\\\n  G, B, D G |]"
    assert pitches(overlaid) == pitches("G2|Bdgb|]")
    assert pitches("d8 | B4 A4 |\n&& G8 | D8 |\ng") == pitches("d8|B4A4|g")


def test_macros_are_written_out():
    # Source: section 9.1.
    header = "m: ~d3 = d/{e}c/d2\nm: nonsense\nM:6/8\nK:D"
    assert pitches("ABA ~d3", header) == pitches("ABA d/{e}c/d2", header)


@pytest.mark.parametrize(
    ("text", "written"), [("~a3", "a{b}a/g/a"), ("~D3", "D{E}D/C/D"), ("~c'3", "c'{d'}c'/b/c'")]
)
def test_transposing_macros_are_written_out_at_every_note(text, written):
    # Source: section 9.2: h to z stand for the notes around n.
    header = "m: ~n3 = n{o}n/m/n\nM:C|\nK:ADor"
    assert pitches(text, header) == pitches(written, header)
