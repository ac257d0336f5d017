"""Five-string tablature in MusicXML: on one staff, on two, in two parts."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.parsing.formats import read_file
from melodex.parsing.score.score_tablature import sound_tab
from melodex.parsing.written_score import WrittenNote
from tests.parsing.score.hand_scores import attributes, note, part, score, song_from, tuning

# From the trade: strings 1 to 5 of open G. Common practice, no source.
OPEN_G = (62, 59, 55, 50, 67)
SONGBOOK = sorted((Path(__file__).parents[3] / "corpus" / "songbook").glob("*.musicxml"))
DISAGREE = "The notation and the tab give different notes in {}; the tab is read."


def tab_staff(*measures: str, capo: int = 0) -> str:
    head = attributes(more=tuning(capo=capo))
    return score(part(head + measures[0], *measures[1:]), names=["Banjo"])


def test_a_tab_staff_gives_pitch_string_fret_and_tuning(tmp_path):
    song = song_from(
        tmp_path,
        tab_staff(
            note("B3", string=3, fret=4)
            + note("G4", string=5, fret=0)
            + note("E4", string=1, fret=2)
            + note("G3", string=4, fret=5)
        ),
    )
    assert song.tuning == OPEN_G
    # String 3 fret 4 sounds string 2 open; string 4 fret 5 sounds string 3 open (common practice).
    assert song.melody.pitches.tolist() == [59, 67, 64, 55]
    assert song.melody.strings.tolist() == [3, 5, 1, 4]
    assert song.melody.frets.tolist() == [4, 0, 2, 5]
    assert song.remarks == ()


def test_a_capo_raises_every_string(tmp_path):
    song = song_from(
        tmp_path,
        tab_staff(note("A3", 2, string=3, fret=0) + note("A4", 2, string=5, fret=0), capo=2),
    )
    assert song.tuning == tuple(pitch + 2 for pitch in OPEN_G)
    assert song.melody.pitches.tolist() == [57, 69]
    assert song.melody.frets.tolist() == [0, 0]
    assert song.remarks == ()


@pytest.mark.parametrize(
    ("written_fret", "written_pitch"),
    [(7, "A4"), (2, "A4")],  # counted as the neck does; counted from the string's open sound
)
def test_the_short_strings_frets_are_handed_on_as_the_neck_counts_them(
    tmp_path, written_fret, written_pitch
):
    # Fret 7 on string 5 is two half-steps above open. Common practice, no source.
    song = song_from(tmp_path, tab_staff(note(written_pitch, 4, string=5, fret=written_fret)))
    assert song.melody.pitches.tolist() == [69]
    assert song.melody.frets.tolist() == [7]
    assert song.remarks == ()


def test_pitches_beside_the_frets_decide_by_majority_how_the_short_string_is_counted(tmp_path):
    measure = (
        note("D5", string=5, fret=7)  # from the open sound: 67 + 7 = 74
        + note("C5", string=5, fret=5)
        + note("A4", string=5, fret=7)  # a slip
        + note("G4", string=5, fret=0)
    )
    song = song_from(tmp_path, tab_staff(measure))
    assert song.melody.pitches.tolist() == [74, 72, 74, 67]
    assert song.melody.frets.tolist() == [12, 10, 12, 0]
    assert song.remarks == (DISAGREE.format("measure 1"),)


def test_a_pitch_that_contradicts_its_fret_is_overruled_and_remarked(tmp_path):
    right, wrong = note("B3", 4, string=2, fret=0), note("C4", 4, string=2, fret=0)
    song = song_from(tmp_path, tab_staff(right, wrong, right, wrong))
    assert song.melody.pitches.tolist() == [59] * 4
    assert song.remarks == (DISAGREE.format("measures 2 and 4"),)


def test_a_remark_names_a_handful_of_measures(tmp_path):
    right, wrong = note("B3", 4, string=2, fret=0), note("C4", 4, string=2, fret=0)
    song = song_from(tmp_path, tab_staff(right, *[wrong] * 7))
    assert song.remarks == (DISAGREE.format("measures 2, 3, 4, 5, 6 and 2 more"),)


def test_a_pinch_keeps_string_and_fret_of_each_note_even_in_unison(tmp_path):
    # String 1 fret 5 sounds string 5 open. Common practice, no source.
    pinch = note("G4", 2, string=1, fret=5) + note("G4", 2, more="<chord/>", string=5, fret=0)
    low = note("G3", 2, string=3, fret=0) + note("D4", 2, more="<chord/>", string=1, fret=0)
    song = song_from(tmp_path, tab_staff(pinch + low))
    melody, tones = song.melody, song.melody.chord_tones
    assert melody.pitches.tolist() == [67, 62]
    assert tones.pitches.tolist() == [67, 55]
    assert {melody.strings[0], tones.strings[0]} == {1, 5}
    assert (melody.strings[1], tones.strings[1]) == (1, 3)
    assert (melody.frets[1], tones.frets[1]) == (0, 0)


def test_fingers_and_slurs_beside_a_fret_do_not_hide_it(tmp_path):
    # music21 counts a finger of the right hand (pluck) among its fret indications.
    marks = '<pluck>p</pluck><hammer-on type="start">H</hammer-on><string>'
    measure = note("A3", 4, string=3, fret=2).replace("<string>", marks)
    song = song_from(tmp_path, tab_staff(measure))
    assert (song.melody.strings.tolist(), song.melody.frets.tolist()) == ([3], [2])


@pytest.mark.parametrize("path", SONGBOOK, ids=lambda path: path.name)
def test_every_arrangement_of_the_songbook_is_read_from_its_tab(path):
    (song,) = read_file(path).songs
    assert song.tuning == OPEN_G
    sounded = [
        OPEN_G[string - 1] + (fret - 5 if string == 5 and fret else fret)
        for string, fret in zip(
            song.melody.strings.tolist(), song.melody.frets.tolist(), strict=True
        )
    ]
    assert song.melody.pitches.tolist() == sounded
    assert song.remarks == ()


def test_without_a_tuning_the_pitches_are_read_and_places_kept(tmp_path):
    head = attributes(more="<clef><sign>TAB</sign><line>5</line></clef>")
    song = song_from(tmp_path, score(part(head + note("C4", 4, string=2, fret=1))))
    assert song.tuning == ()
    assert song.melody.pitches.tolist() == [60]
    assert (song.melody.strings.tolist(), song.melody.frets.tolist()) == ([2], [1])


@pytest.mark.parametrize(
    "nonsense", ["<tuning-step>H</tuning-step>", "<tuning-octave>low</tuning-octave>"]
)
def test_a_tuning_that_makes_no_sense_is_none(tmp_path, nonsense):
    document = tab_staff(note("C4", 4, string=2, fret=1))
    tag = nonsense[1:].partition(">")[0]
    start = document.index(f"<{tag}>")
    end = document.index(f"</{tag}>") + len(f"</{tag}>")
    song = song_from(tmp_path, document[:start] + nonsense + document[end:])
    assert song.tuning == ()
    assert song.melody.pitches.tolist() == [60]


NOTATED = [("B4", "G5"), ("D5", "B4")]  # two measures, written an octave above the sound
SOUNDING = [("B3", "G4"), ("D4", "B3")]
TABBED = [((2, 0), (5, 0)), ((1, 0), (2, 0))]


def on_two_staves(notated, *, transpose: str = "") -> str:
    head = attributes(
        "2/4",
        more=f"<staves>2</staves>{tuning(staff=2)}{transpose}",
    )
    written = [
        "".join(note(pitch) for pitch in pitches)
        + "<backup><duration>24</duration></backup>"
        + "".join(
            note(sounding, staff=2, voice=5, string=string, fret=fret)
            for sounding, (string, fret) in zip(pitches, places, strict=True)
        )
        for pitches, places in zip(notated, TABBED, strict=True)
    ]
    return score(part(head + written[0], written[1]), names=["Banjo"])


OCTAVE_DOWN = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"


@pytest.mark.parametrize("transpose", ["", OCTAVE_DOWN])
def test_on_two_staves_the_tab_is_read_though_the_notation_is_an_octave_high(tmp_path, transpose):
    # music21 would move both staves by the transposition; the tab sounds what it sounds.
    song = song_from(tmp_path, on_two_staves(NOTATED, transpose=transpose))
    assert song.melody.pitches.tolist() == [59, 67, 62, 59]
    assert song.melody.strings.tolist() == [2, 5, 1, 2]
    assert song.melody.measures.tolist() == [1, 1, 2, 2]
    assert song.remarks == ()


def in_two_parts(notated, names=("Banjo", "Banjo tab")) -> str:
    notation = [
        note(first, more="<lyric><text>la</text></lyric>") + note(second)
        for first, second in notated
    ]
    tab = [
        "".join(
            note(sounding, string=string, fret=fret)
            for sounding, (string, fret) in zip(pitches, places, strict=True)
        )
        for pitches, places in zip(SOUNDING, TABBED, strict=True)
    ]
    harmony = "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>"
    return score(
        part(attributes("2/4") + harmony + notation[0], notation[1]),
        part(attributes("2/4", more=tuning()) + tab[0], tab[1], name="P2"),
        names=names,
    )


def test_in_two_parts_the_tab_is_read_with_chords_and_words_of_the_notation(tmp_path):
    song = song_from(tmp_path, in_two_parts(NOTATED))
    assert song.melody.pitches.tolist() == [59, 67, 62, 59]
    assert [(chord.onset, chord.text) for chord in song.chords] == [(0, "G")]
    assert [(word.note, word.text) for word in song.lyrics] == [(0, "la"), (2, "la")]


def test_a_notation_part_that_disagrees_in_one_note_is_remarked_with_the_measure(tmp_path):
    document = on_two_staves([NOTATED[0], ("D5", "C5")])
    assert song_from(tmp_path, document).remarks == (DISAGREE.format("measure 2"),)


def test_a_note_an_octave_away_from_all_others_is_a_disagreement(tmp_path):
    document = on_two_staves([NOTATED[0], ("D5", "B3")])
    assert song_from(tmp_path, document).remarks == (DISAGREE.format("measure 2"),)


def test_another_instruments_notation_is_not_compared(tmp_path):
    other_tune = [("C5", "C5"), ("C5", "C5")]
    compared = song_from(tmp_path, in_two_parts(other_tune, names=["Banjo", "Banjo"]))
    assert compared.remarks == (DISAGREE.format("measures 1 and 2"),)
    left_out = song_from(tmp_path, in_two_parts(other_tune, names=["Fiddle", "Banjo"]))
    assert left_out.remarks == ('Read part 2 of 2, "Banjo"; the other is left out.',)


@given(
    places=st.lists(
        st.tuples(st.integers(1, 5), st.integers(0, 17)).filter(
            lambda place: place[0] != 5 or place[1] == 0 or place[1] >= 5
        ),
        max_size=20,
    ),
    from_the_open_sound=st.booleans(),
)
def test_every_place_on_the_neck_sounds_the_same_however_its_fret_is_counted(
    places, from_the_open_sound
):
    notes, pitches = [], []
    for onset, (string, fret) in enumerate(places):
        above_open = fret - 5 if string == 5 and fret else fret
        pitches.append(OPEN_G[string - 1] + above_open)
        written = above_open if from_the_open_sound else fret
        notes.append(WrittenNote(onset, 1.0, pitches[-1], string, written))
    sounded = sound_tab(notes, OPEN_G)
    assert [note.pitch for note in sounded] == pitches
