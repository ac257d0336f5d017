import random

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from melodex.model.reading import Reading
from melodex.parsing.abc_reader import decode_abc, read_abc
from tests.parsing.abc_examples import pitches, reason_of_failure, song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.
TUNE = "X:{0}\nT:Tune {0}\nM:4/4\nL:1/4\nK:G\nGABc|defg|\n\n"

# Section 13.1.
DUSTY_MILLER = """%abc-2.1
H:This file contains some example English tunes
% note that the comments (like this one) are to highlight usages
%  and would not normally be included in such detail
O:England             % the origin of all tunes is England

X:1                   % tune no 1
T:Dusty Miller, The   % title
T:Binny's Jig         % an alternative title
C:Trad.               % traditional
R:DH                  % double hornpipe
M:3/4                 % meter
K:G                   % key
B>cd BAG|FA Ac BA|B>cd BAG|DG GB AG:|
Bdd gfg|aA Ac BA|Bdd gfa|gG GB AG:|
BG G/2G/2G BG|FA Ac BA|BG G/2G/2G BG|DG GB AG:|
W:Hey, the dusty miller, and his dusty coat;

X:2
T:Old Sir Simon the King
C:Trad.
M:9/8
K:G
D|GFG GAG G2D|GFG GAG F2D|EFE EFE EFG|A2G F2E D2:|
D|GAG GAB d2D|GAG GAB c2D|[1 EFE EFE EFG|A2G F2E D2:|\\ % no line-break in score
M:12/8                % change of meter
[2 E2E EFE E2E EFG|\\  % no line-break in score
M:9/8                 % change of meter
A2G F2E D2|]
"""


def test_the_sample_book_of_the_standard_is_read():
    # Source: section 13.1.
    reading = read_abc(DUSTY_MILLER, "English.abc")
    assert not reading.failures
    miller, simon = reading.songs
    assert (miller.title, miller.other_titles) == ("Dusty Miller, The", ("Binny's Jig",))
    assert str(miller.key) == "G major"
    assert str(miller.metre) == "3/4"
    assert miller.source.tune == "1"
    assert miller.source.line == 7
    assert miller.sections.tolist() == [[0, 12], [0, 24], [12, 36], [24, 36]]
    assert [str(change.metre) for change in simon.metre_changes] == ["12/8", "9/8"]
    assert simon.measures.numbers.tolist()[:6] == [0, 1, 2, 3, 4, 4]


def test_a_broken_tune_loses_no_other():
    broken = "X:25\nT:Broken\nK:G\nGABc|[deg\n\n"
    book = "".join(broken if n == 25 else TUNE.format(n) for n in range(1, 51))
    reading = read_abc(book, "fifty.abc")
    assert len(reading.songs) == 49
    (failure,) = reading.failures
    assert (failure.tune, failure.file) == ("25", "fifty.abc")
    assert book.splitlines()[failure.line - 1] == "GABc|[deg"
    assert failure.reason == "a bracket is not closed with ] (measure 2)"


def test_file_header_holds_for_every_tune_and_a_tune_may_override_it():
    # Source: section 2.2.2.
    book = "M:6/8\nL:1/4\n\nX:1\nK:C\nA|\n\nX:2\nL:1/8\nK:C\nA|\n\nX:3\nK:C\nA|\n"
    songs = read_abc(book, "book.abc").songs
    assert [str(song.metre) for song in songs] == ["6/8"] * 3
    assert [song.melody.durations[0] for song in songs] == [1, 0.5, 1]


def test_free_text_between_tunes_is_no_music():
    # Source: section 2.2.3.
    book = TUNE.format(1) + "These lines | are free text, and a bad egg.\n\n" + TUNE.format(2)
    reading = read_abc(book, "book.abc")
    assert [len(song.melody) for song in reading.songs] == [8, 8]
    assert not reading.failures


def test_a_tune_begins_at_its_number_even_without_a_blank_line():
    book = TUNE.format(1).rstrip() + "\n" + TUNE.format(2)
    assert len(read_abc(book, "book.abc").songs) == 2


def test_comments_directives_and_unknown_fields_are_passed_over():
    # Source: sections 2.2.5, 3 (unknown fields must be ignored) and 11.0.2 (directives).
    body = (
        "%%newpage\nGA % Bc\n   % only a comment\n[r:remark]B[I:setbarnb 10]c\nY:what\nr:remark\nd"
    )
    assert pitches(body) == [67, 69, 71, 72, 74]


def test_music_that_goes_on_after_a_blank_line_is_read_and_remarked():
    reading = read_abc("X:1\nK:C\nCDEF|\n\nGABc|\n", "book.abc")
    assert reading.songs[0].melody.pitches.tolist() == [60, 62, 64, 65, 67, 69, 71, 72]
    assert "blank line at line 4" in reading.songs[0].remarks[0]


def test_a_tune_without_number_is_read_and_remarked():
    # Source: section 2.3.1, an embedded fragment.
    reading = read_abc("T:Major scale in D\nK:D\nDEFG ABcd|\n", "scale.abc")
    assert reading.songs[0].melody.pitches.tolist() == [62, 64, 66, 67, 69, 71, 73, 74]
    assert "X:" in reading.songs[0].remarks[0]


def test_a_tune_without_key_is_read_without_signature_and_remarked():
    song = read_abc("X:1\nT:No key\nfed|\n", "book.abc").songs[0]
    assert song.melody.pitches.tolist() == [77, 76, 74]
    assert song.key is None
    assert "K:" in song.remarks[0]


def test_a_tune_without_title_is_called_untitled():
    assert read_abc("X:1\nT:\nK:C\nC|\n", "book.abc").songs[0].title == "Untitled"


def test_a_single_note_is_a_tune():
    assert len(song_of("C").melody) == 1


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "no line begins with X:"),
        ("Dear diary | nothing here.", "no line begins with X:"),
        ("\x00\x01\x7f\xff" * 500, "no line begins with X:"),
        ("X:1\nT:x\nK:C\n", "no notes"),
        ("X:1\nK:C\n|:|||z|", "only rests"),
        ('X:1\nK:C\nA"G', 'not closed with "'),
        ("X:1\nK:C\nA{gf", "not closed with }"),
        ("X:1\nK:C\nA[K:G", "not closed with ]"),
        ("X:1\nK:Q\nA", "unknown key 'Q'"),
        ("X:1\nM:waltz\nK:C\nA", "unknown metre 'waltz'"),
        ("X:1\nL:long\nK:C\nA", "unknown unit note length 'long'"),
    ],
)
def test_what_cannot_be_read_gets_a_reason(text, reason):
    assert reason in reason_of_failure(text)


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


@pytest.mark.parametrize("body", ["c4 -c4", "abc|-cba"])
def test_a_tie_that_does_not_touch_its_first_note_joins_nothing(body):
    # Source: section 4.11: these are not legal.
    assert len(song_of(body).melody) == len(body.replace("-", "").replace(" ", "")) - body.count(
        "4"
    ) - body.count("|")


def test_a_line_is_a_phrase_only_where_the_caller_says_so():
    body = "CDEF|GA\nBc|\\\nde\nfg|"
    assert song_of(body, line_is_phrase=True).melody.phrase_ends.tolist() == [5, 9, 11]
    assert song_of(body).melody.phrase_ends.tolist() == []


def test_the_melody_voice_is_the_first_unless_a_name_or_clef_says_otherwise():
    # The rule is ours; the layout is section 7's.
    two = "[V:1]CDEF|\n[V:2]cdef|\n[V:1]G|\n[V:2]g|\n"
    assert pitches(two) == [60, 62, 64, 65, 67]
    assert pitches(two, 'V:1\nV:2 name="Melody"\nK:C') == [72, 74, 76, 77, 79]
    assert pitches(two, "V:1 clef=bass\nV:2\nK:C") == [72, 74, 76, 77, 79]
    assert "'1'" in song_of(two).remarks[0]


def test_voices_keep_their_own_time_key_and_length():
    # Source: section 7.3.
    body = "[V:1] C4|[M:3/4]CEG|Gce|\n[V:2] [K:G][L:1/4]f|[M:3/4]G3 |E3 |"
    song = song_of(body)
    assert song.melody.onsets.tolist() == [0, 2, 2.5, 3, 3.5, 4, 4.5]
    assert song.melody.pitches.tolist()[0] == 60


def test_a_voice_overlay_is_passed_over():
    # Source: section 7.4, both examples.
    overlaid = "A2 | c d e f g  a  &\\\n     A A A A A  A  &\\\n     F E D C B, A, |]"
    assert pitches(overlaid) == pitches("A2|cdefga|]")
    assert pitches("g4 f4 | e6 e2 |\n&& (d8 | c6) c2|\nc") == pitches("g4f4|e6e2|c")


def test_macros_are_written_out():
    # Source: section 9.1.
    header = "m: ~g2 = {a}g{f}g\nM:6/8\nK:D"
    assert pitches("def ~g2 e", header) == pitches("def {a}g{f}g e", header)


@pytest.mark.parametrize("version", [">", ">>>>>>>>"])
def test_a_mark_of_broken_rhythm_alone_does_nothing_worse_than_its_longest(version):
    assert sum(song_of(f"{version}A{version}B{version}").melody.durations) <= 2


@pytest.mark.parametrize(
    "body",
    ["C|" * 20_000, "CDEF" * 5_000, "[CEG]" * 20_000, "(9:9:99999abc" * 1_000, '"G"' * 50_000 + "A"]
    + ["|:" * 50_000 + "A", "[1-999999999A:|" * 200, "A-" * 20_000, "{g}" * 50_000 + "A"]
    + [
        "A" + " " * 500_000 + "B",
        "[V:a]C" * 5_000,
        "A|" + "&" * 100_000 + "B|",
        "(" * 100_000 + "A",
    ],
)
def test_very_long_tunes_are_read(body):
    assert len(song_of(body).melody) > 0


def test_very_many_voices_are_refused():
    body = "".join(f"[V:{n}]C" for n in range(1_000))
    assert "voices" in reason_of_failure(f"X:1\nK:C\n{body}")


ABC_SCRAPS = st.sampled_from(
    [*"ABCdefgxzXZy0123456789/>-<^_=,'|:[](){}\"!+&%\\$#*;?@ \n~.`HTuvw"]
    + ["X:1\n", "K:G\n", "M:6/8\n", "L:1/8\n", "w:la la\n", "V:2\n", "P:A\n", "[K:Am]", "[V:1]"]
    + ["(3", "(5:4:3", "|1", ":|2", "[1,3", "|:", "::", "m:~G=A\n", "+:x\n", "%%abc-version 2.1\n"]
)


@given(st.lists(ABC_SCRAPS, max_size=60))
@settings(max_examples=300)
def test_scraps_of_abc_always_give_a_reading(scraps):
    text = "".join(scraps)
    assert isinstance(read_abc(f"X:1\nK:C\n{text}", "scraps.abc"), Reading)
    assert isinstance(read_abc(text, "scraps.abc"), Reading)


@given(st.binary(max_size=300))
def test_any_bytes_always_give_a_reading(content):
    assert isinstance(read_abc(decode_abc(content), "bytes.abc"), Reading)


@given(st.integers(0, 2**32))
def test_a_real_tune_with_characters_knocked_about_gives_a_reading(seed):
    chance = random.Random(seed)  # noqa: S311
    characters = list(DUSTY_MILLER)
    for _ in range(chance.randint(1, 30)):
        place = chance.randrange(len(characters))
        characters[place] = chance.choice(["", chance.choice(characters), "\n", "[", '"', "{", "9"])
    assert isinstance(read_abc("".join(characters), "mutated.abc"), Reading)
