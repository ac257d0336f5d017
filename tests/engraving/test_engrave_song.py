"""Pictures of music: what the SVG contains, and what sounds in it."""

import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from melodex.banjo.fingered_tab import fingered_tab
from melodex.engraving.engrave_song import MELODY_LEGEND, Look, PhraseMark, engrave
from melodex.engraving.engraved_score import score_of
from melodex.engraving.svg_measures import Sizes
from melodex.errors import QueryError
from melodex.features.as_played import played_notes, played_onsets
from melodex.model.song import ChordSymbol, Song, Touch
from melodex.model.tablature import TabNote
from melodex.model.tuning import tuning_named
from melodex.parsing.abc.abc_reader import read_abc
from melodex.report.phrase_marks import marks_of
from tests.engraved import heard, ids_in
from tests.moves import Move, tab_of_moves
from tests.songbook import TERMS, songs_of_book
from tests.strategies import melody_of, song_of
from tests.tabs import rolled_songs, small_tab, tab_of

HOSTILE = "<script>alert('&\"')</script>"


def abc(text: str) -> Song:
    (song,) = read_abc(text, "gate.abc").songs
    return song


GATE = abc("X:1\nT:Gate\nM:4/4\nL:1/4\nK:G\nD|:GABc|d2-d2|1 BAGF:|2 G4|]\n")


def numbers_in(svg: str) -> list[int]:
    return [int(number) for number in re.findall(r'data-measure="(\d+)"', svg)]


def test_each_measure_has_an_element_with_its_number_as_written():
    assert numbers_in(engrave(GATE).svg) == [0, 1, 2, 3, 4]
    assert numbers_in(engrave(GATE, measures=(2, 3)).svg) == [2, 3]


def test_the_number_of_a_measure_stands_above_it_once():
    song = abc("X:1\nM:2/4\nL:1/4\nK:G\nGe|Ad|Bc|cB|\n")
    svg = engrave(song, measures=(3, 4)).svg
    assert re.findall(r"<text[^>]*>\s*(?:<tspan[^>]*>\s*)*(\d+)", svg) == ["3", "4"]


def test_a_repeat_that_follows_another_begins_in_its_own_measure():
    engraved = engrave(abc("X:1\nM:2/4\nL:1/4\nK:G\n|:Ge|Ad:|:Bc|cB:|\n")).svg
    _, *measures = engraved.split("data-measure=")
    # SMuFL's repeatDot is U+E044: a pair where each repeat begins, and where it ends.
    assert [measure.count("-E044") for measure in measures] == [2, 2, 2, 2]


def test_a_line_that_begins_with_a_repeat_has_its_thick_line_behind_the_clef():
    engraved = engrave(abc("X:1\nM:2/4\nL:1/4\nK:G\n|:Ge|Ad:|:Bc|cB:|\n")).svg
    heads = [part.partition("</svg>")[0] for part in engraved.split('class="head"')[1:]]
    assert ["<path" in head for head in heads] == [False, False, True, False]


def test_the_ids_of_several_pictures_on_a_page_do_not_meet():
    tab = small_tab()
    one, other = (engrave(tab.song, tab=tab, look=Look(prefix)) for prefix in ("one", "two"))
    ids = [*ids_in(one.svg), *ids_in(other.svg)]
    assert len(set(ids)) == len(ids)


def test_every_sounding_note_is_seen_on_staff_and_tab():
    tab = small_tab()
    engraving = engrave(tab.song, tab=tab)
    ids = set(ids_in(engraving.svg))
    assert engraving.sounding
    for note in engraving.sounding:
        assert set(note.elements) <= ids
        voices = [name.split("-")[1].rstrip("0123456789") for name in note.elements]
        assert voices[:2] == ["tab", "staff"]


def test_a_song_sounds_through_its_repeats_and_endings_as_the_search_plays_it():
    for book in TERMS:
        for song in songs_of_book(book).values():
            melody = song.melody
            notes = played_notes(melody.onsets, song.sections)
            onsets = played_onsets(melody.onsets, song.sections)
            expected = [
                (round(float(onset), 4), int(melody.pitches[note]))
                for onset, note in zip(onsets, notes, strict=True)
            ]
            if not len(melody.chord_tones.notes):
                assert heard(engrave(song).sounding) == expected


def test_an_excerpt_sounds_once_from_its_own_beginning():
    engraving = engrave(GATE, measures=(1, 2))
    assert heard(engraving.sounding) == [(0, 67), (1, 69), (2, 71), (3, 72), (4, 74)]
    assert engraving.length_beats == 8
    assert engraving.begin_beats == 1


def test_tied_heads_are_one_sound_and_all_of_them_are_its_elements():
    (long_note,) = [note for note in engrave(GATE, measures=(2, 2)).sounding if note.pitch == 74]
    assert long_note.duration_beats == 4
    over_the_bar = abc("X:1\nT:Gate\nM:4/4\nL:1/4\nK:G\nGABc-|c4|\n")
    assert len(engrave(over_the_bar).sounding[-1].elements) == 2


def test_a_marked_phrase_has_a_bracket_a_letter_a_colour_and_differing_shapes():
    mark = PhraseMark("B", (1, 2, 3), frozenset({2}))
    svg = engrave(GATE, marks=[mark]).svg
    assert svg.count('class="bracketSpan bracket mark mark-b"') >= 1
    assert re.search(r'class="dir letter mark mark-b".*?>B<', svg)
    assert svg.count('class="note mark mark-b"') == 2
    assert svg.count('class="note mark mark-b differs"') == 1
    plain = engrave(GATE, marks=[replace(mark, differing=frozenset())]).svg
    assert len(set(re.findall(r'href="#(a-0-E0\w\w)"', svg))) > len(
        set(re.findall(r'href="#(a-0-E0\w\w)"', plain))
    )


def test_a_differing_note_has_a_diamond_on_the_tab_too():
    tab = small_tab()
    svg = engrave(tab.song, tab=tab, marks=[PhraseMark("A", (0, 1), frozenset({1}))]).svg
    assert svg.count("differs-frame") == 1


def test_what_is_pinched_with_a_marked_note_has_its_colour_and_no_word_on_how_it_differs():
    tab = tab_of_moves([[Move(1, 0, "", "M"), Move(5, 0, "", "T")], [Move(2, 1, "", "I")]])
    melody = PhraseMark("A", (0,), frozenset({0}))
    svg = engrave(tab.song, tab=tab, marks=[melody]).svg
    assert (
        svg.count("mark mark-a")
        - svg.count('bracket mark mark-a"')
        - svg.count('letter mark mark-a"')
        == 4
    )  # two notes on the staff, and two digits
    assert svg.count("mark mark-a differs") == 2  # the melody's


def test_a_phrase_outside_the_measures_shown_leaves_no_bracket():
    assert "bracketSpan" not in engrave(GATE, measures=(3, 3), marks=[PhraseMark("A", (1, 2))]).svg


def test_matched_notes_are_marked_in_both_songs_and_differ_only_beyond_the_transposition():
    one, other = song_of(melody_of(60, 62, 64)), song_of(melody_of(67, 70, 71))
    marks = marks_of(one, other, [(0, 0), (1, 1), (2, 2)], transposition=7, letter="A")
    assert [mark.notes for mark in marks] == [(0, 1, 2), (0, 1, 2)]
    assert [mark.differing for mark in marks] == [frozenset({1}), frozenset({1})]


def test_what_the_hands_do_stands_at_the_tab():
    rolled = next(song for song in rolled_songs() if any(t.left_hand for t in song.touches))
    svg = engrave(rolled, tab=tab_of(rolled)).svg
    letters = re.findall(r'class="hand"[^>]*>([A-Z])<', svg)
    fingers = [touch.finger for touch in rolled.touches if touch.finger]
    assert [letter for letter in letters if letter in "TIM"] != []
    assert len([letter for letter in letters if letter in "TIM"]) >= len(fingers)
    reached = [touch for touch in rolled.touches if touch.left_hand in {"hammer-on", "pull-off"}]
    assert 0 < len([letter for letter in letters if letter in "HP"]) <= len(reached)


def test_movements_that_end_together_have_letters_above_each_other():
    tab = tab_of_moves(
        [
            [Move(1, 0, "", "M"), Move(2, 0, "", "I"), Move(3, 7, "choke", "T")],
            [Move(1, 2, "hammer-on", ""), Move(2, 1, "hammer-on", ""), Move(3, 4, "slide", "")],
        ]
    )
    svg = engrave(tab.song, tab=tab).svg
    letters = re.findall(r'<text class="hand" [^>]*y="(-?\d+)"[^>]*>(H|S|Ch)<', svg)
    assert [letter for _, letter in letters] == ["Ch", "H", "S"]
    assert svg.count("hand-arc") == 3
    heights = {letter: int(y) for y, letter in letters}
    assert heights["S"] < heights["H"] - 250  # SVG units; a letter is some 200 high


def test_a_title_with_markup_is_text():
    song = replace(GATE, title=HOSTILE)
    svg = engrave(song).svg
    assert "<script" not in svg
    assert "&lt;script" in svg


def test_a_chord_symbol_with_markup_is_text():
    song = abc(f'X:1\nT:Gate\nM:4/4\nL:1/4\nK:G\n"{HOSTILE.replace(chr(34), "")}"GABc|\n')
    assert "<script" not in engrave(song).svg


def test_a_picture_says_what_it_is_of_and_names_no_address():
    svg = engrave(GATE, measures=(1, 2)).svg
    assert 'aria-label="Staff of Gate, measures 1-2"' in svg
    assert "http" not in svg


def test_the_same_song_gives_the_same_picture():
    assert engrave(GATE).svg == engrave(GATE).svg


def test_measures_that_a_song_does_not_have_are_refused():
    with pytest.raises(QueryError, match="has no measures 40 to 41"):
        engrave(GATE, measures=(40, 41))


def test_a_rhythm_without_notation_is_rounded_with_a_remark_and_sounds_exactly():
    onsets = [0.0, 7 / 22, 9 / 11]
    song = song_of(melody_of(60, 62, 64, onsets=onsets, durations=[7 / 22, 0.5, 35 / 11]))
    engraving = engrave(song)
    assert engraving.remarks == (
        "The rhythm of measure 1 has no exact notation: note values are rounded there.",
    )
    assert [note.onset_beats for note in engraving.sounding] == pytest.approx(onsets, abs=1e-3)


def test_a_low_song_gets_a_clef_that_sounds_an_octave_lower():
    high, low = song_of(melody_of(72, 74)), song_of(melody_of(50, 52))
    # U+E052 is the treble clef with an 8 below. Source: SMuFL 1.4, table "Clefs".
    assert "E052" not in engrave(high).svg
    assert "E052" in engrave(low).svg


def test_a_staff_over_a_tab_sounds_as_the_tab_does_and_is_written_an_octave_higher():
    song = song_of(melody_of(74, 78, 81))
    tab = fingered_tab(song)
    score = score_of(song, tab)
    assert tab.octaves == -1
    assert [sound.heads[0].pitch for sound in score.staff.sounds] == [62, 66, 69]
    assert "E052" in engrave(song, tab=tab).svg
    assert "E052" not in engrave(song).svg


def test_chords_over_a_tab_are_named_by_their_shapes_behind_the_capo():
    song = replace(song_of(melody_of(69, 69)), chords=(ChordSymbol(0.0, "A7/C#"),))
    tab = fingered_tab(song, tuning_named("open G", capo=2))
    # With a capo at fret 2, a G7 sounds as A7. Common practice, no source.
    assert "G7/B" in engrave(song, tab=tab).svg
    assert "A7/C#" in engrave(song).svg


def pinch(*fingers):
    song = song_of(melody_of(62, durations=[4.0]))
    notes = (
        TabNote(0.0, 4.0, string, 0, finger=finger) for string, finger in enumerate(fingers, 1)
    )
    return song, replace(fingered_tab(song), notes=tuple(notes))


def test_the_fingers_of_a_pinch_stand_under_each_other_and_the_picture_grows():
    letter = re.compile(r'class="hand" font-size="(\d+)px" x="(\d+)" y="(\d+)"[^>]*>([A-Z])<')
    (song, one), (_, three) = pinch("M"), pinch("M", "I", "T")
    lone, pinched = engrave(song, tab=one), engrave(song, tab=three)
    found = [(*map(int, place), name) for *place, name in letter.findall(pinched.svg)]
    assert [name for *_, name in found] == ["M", "I", "T"]
    assert len({x for _, x, _, _ in found}) == 1
    assert all(below[2] - above[2] >= above[0] for above, below in pairwise(found))
    assert pinched.sizes.height > lone.sizes.height
    brush, whole = pinch("T", "T", "T", "T")
    assert len(letter.findall(engrave(brush, tab=whole).svg)) == 1


def test_frets_of_the_melody_have_a_ring_which_a_remark_explains():
    song, tab = pinch("M", "I")
    assert "melody-ring" not in engrave(song, tab=tab).svg
    marked = replace(tab, notes=(tab.notes[0], replace(tab.notes[1], is_melody=True)))
    engraving = engrave(song, tab=marked)
    assert engraving.svg.count("melody-ring") == 1
    assert engraving.remarks == (MELODY_LEGEND,)


def test_each_measure_is_a_picture_of_its_own_and_the_numbers_stand_above_all():
    song = songs_of_book(TERMS[0])["The Lamplighter's Ladder"]
    engraving = engrave(song)
    measures = len(set(song.measures.numbers.tolist()))
    assert engraving.svg.count('<svg class="bar"') == measures == len(engraving.sizes.measures)
    numbers = re.findall(r'<text class="number" x="-?\d+" y="(-?\d+)"[^>]*>(\d+)<', engraving.svg)
    assert [int(number) for _, number in numbers] == numbers_in(engraving.svg)
    assert all(int(baseline) < 0 for baseline, _ in numbers)  # all that is engraved lies below 0
    chords = re.findall(r'class="harm"><text x="\d+" y="(\d+)"', engraving.svg)
    assert chords
    assert min(map(int, chords)) > 0


def test_a_line_takes_as_many_measures_as_there_is_room_for():
    sizes = Sizes(head=3.0, measures=(10.0, 8.0, 12.0, 40.0), height=18.0)
    assert sizes.widths(100.0) == [73.0]
    assert sizes.widths(24.0) == [21.0, 15.0, 43.0]


def test_clef_and_key_are_drawn_once_and_shown_before_each_measure():
    svg = engrave(GATE).svg
    # U+E050 is the treble clef, U+E262 the sharp. Source: SMuFL 1.4.
    assert svg.count('href="#a-0-E050"') == svg.count('href="#a-0-E262"') == 1
    assert svg.count('<use href="#a-head"') == 5


def test_a_very_long_song_loses_no_measure():
    count = 120
    song = song_of(melody_of(*np.tile([60, 62, 64, 65], count).tolist()))
    engraving = engrave(song)
    assert numbers_in(engraving.svg) == list(range(1, count + 1))
    onsets = [note.onset_beats for note in engraving.sounding]
    assert all(one < other for one, other in pairwise(onsets))


def test_a_touch_on_the_first_note_of_a_string_has_half_an_arc_into_it():
    tab = small_tab()
    song = replace(tab.song, touches=(Touch(0, 1, "slide"),))
    notes = tuple(
        replace(note, left_hand="slide" if place == 0 else "")
        for place, note in enumerate(tab.notes)
    )
    assert engrave(song, tab=replace(tab, song=song, notes=notes)).svg.count("hand-arc") == 1


def drawn_across(svg, number):
    """Return the part of a measure that crosses its bar lines."""
    (box,) = re.findall(rf'<span class="measure-box" data-measure="{number}">(.*?)</span>', svg)
    return "".join(re.findall(r'<svg class="across".*', box))


def test_what_crosses_a_bar_line_is_drawn_on_both_sides_of_it():
    song = abc("X:1\nT:Gate\nM:4/4\nL:1/4\nK:G\nGABc-|c4|1 d4|e4|\n")
    svg = engrave(song, marks=[PhraseMark("A", (2, 3, 4))]).svg
    for kind, measures in (("tie", {1, 2}), ("bracketSpan", {1, 2, 3}), ("voltaBracket", {3, 4})):
        found = {number for number in range(1, 5) if f'"{kind}' in drawn_across(svg, number)}
        assert found == measures, kind


def test_a_slur_over_a_bar_line_has_one_letter():
    tab = small_tab()
    notes = tuple(
        replace(note, string=1, fret=place % 2, left_hand="hammer-on" if place else "")
        for place, note in enumerate(tab.notes)
    )
    svg = engrave(tab.song, tab=replace(tab, notes=notes)).svg
    slurs = sum(not note.is_struck for note in notes)
    assert svg.count(">H<") == slurs
    assert svg.count("hand-arc") > slurs


def test_a_ring_around_a_fret_of_two_digits_is_wider():
    song, tab = pinch("M", "I")
    notes = [
        replace(note, is_melody=True, fret=fret)
        for note, fret in zip(tab.notes, (3, 12), strict=True)
    ]
    svg = engrave(song, tab=replace(tab, notes=tuple(notes))).svg
    one, two = map(int, re.findall(r'class="melody-ring"[^>]*rx="(\d+)"', svg))
    assert two > one


def test_dotted_notes_have_their_dots():
    # By hand: G>A, B<d, and two notes of three eighths.
    dotted, plain = (
        read_abc(f"X:1\nM:4/4\nL:1/8\nK:G\n{music}", "").songs[0]
        for music in ("|:G>A B<d G3 A|G3 B d4:|", "GABc d4|")
    )
    assert engrave(dotted).svg.count("<ellipse") == 4
    assert engrave(plain).svg.count("<ellipse") == 0
