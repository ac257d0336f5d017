"""Facts in a score other than notes."""

import pytest

from melodex.model.key import Key
from melodex.model.metre import FREE_METRE, Metre
from tests.parsing.score.hand_scores import attributes, note, one_part, part, score, song_from


def test_titles_are_kept_the_works_first(tmp_path):
    document = score(part(attributes() + note("G4", 4)), title="The Green  Gate").replace(
        "<part-list>", "<movement-title>Gate Reel</movement-title><part-list>"
    )
    song = song_from(tmp_path, document)
    assert (song.title, song.other_titles) == ("The Green Gate", ("Gate Reel",))


@pytest.mark.parametrize(
    ("fifths", "mode", "key"),
    [
        (1, "major", Key("G", "major", (("F", 1),))),
        (-3, "minor", Key("C", "minor", (("B", -1), ("E", -1), ("A", -1)))),
        (0, "mixolydian", Key("G", "mixolydian")),
        (0, "dorian", Key("D", "dorian")),
        (-2, "major", Key("Bb", "major", (("B", -1), ("E", -1)))),
        (0, "aeolian", Key("A", "minor")),
        (2, "", Key("", "", (("F", 1), ("C", 1)))),  # a key that is not stated is not guessed
        (1, "none", Key("", "", (("F", 1),))),
    ],
)
def test_key_mode_and_accidentals_are_those_stated(tmp_path, fifths, mode, key):
    # Source: the circle of fifths; MusicXML 4.0, fifths and mode.
    song = song_from(tmp_path, one_part(note("G4", 4), fifths=fifths, mode=mode))
    assert song.key == key


@pytest.mark.parametrize(
    ("time", "metre"),
    [
        ("<time><beats>6</beats><beat-type>8</beat-type></time>", Metre(6, 8)),
        ('<time symbol="cut"><beats>2</beats><beat-type>2</beat-type></time>', Metre(2, 2)),
        ("<time><beats>2+3</beats><beat-type>8</beat-type></time>", Metre(5, 8, (2, 3))),
        (
            "<time><beats>2</beats><beat-type>4</beat-type>"
            "<beats>3</beats><beat-type>8</beat-type></time>",
            Metre(7, 8, (4, 3)),
        ),
        ("<time><senza-misura/></time>", FREE_METRE),
        (" ", FREE_METRE),  # a metre that is not stated is not guessed
    ],
)
def test_the_metre_is_that_stated(tmp_path, time, metre):
    assert song_from(tmp_path, one_part(note("G4", 4), time=time)).metre == metre


def test_a_change_of_metre_is_kept_with_its_onset(tmp_path):
    change = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    song = song_from(tmp_path, one_part(note("G4", 4), change + note("A4", 3), note("B4", 3)))
    assert [(each.onset, each.metre) for each in song.metre_changes] == [(4, Metre(3, 4))]
    assert song.measures.onsets.tolist() == [0, 4, 7]
    assert song.melody.beat_strengths.tolist() == [1, 1, 1]


@pytest.mark.parametrize(
    ("direction", "tempo"),
    [
        ('<sound tempo="96"/>', 96),
        ("<direction><direction-type><words>Lively</words></direction-type></direction>", None),
        (
            "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/>"
            "<per-minute>80</per-minute></metronome></direction-type></direction>",
            120,  # 80 dotted quarters are 120 quarters
        ),
        (
            '<direction><direction-type><words>p</words></direction-type><sound tempo="66"/>'
            "</direction>",
            66,
        ),
    ],
)
def test_the_tempo_is_kept_in_quarter_notes_a_minute(tmp_path, direction, tempo):
    assert song_from(tmp_path, one_part(direction + note("G4", 4))).tempo == tempo


@pytest.mark.parametrize(
    ("harmony", "text"),
    [
        ("<root><root-step>G</root-step></root><kind>major</kind>", "G"),
        ("<root><root-step>A</root-step></root><kind>minor</kind>", "Am"),
        ('<root><root-step>D</root-step></root><kind text="7">dominant</kind>', "D7"),
        (
            "<root><root-step>B</root-step><root-alter>-1</root-alter></root>"
            "<kind>major-seventh</kind>",
            "Bbmaj7",
        ),
        (
            "<root><root-step>C</root-step></root><kind>major</kind>"
            "<bass><bass-step>E</bass-step><bass-alter>-1</bass-alter></bass>",
            "C/Eb",
        ),
        (
            "<root><root-step>G</root-step></root><kind>dominant</kind><degree>"
            "<degree-value>9</degree-value><degree-alter>-1</degree-alter>"
            "<degree-type>add</degree-type></degree>",
            "G7(b9)",
        ),
        ('<root><root-step>G</root-step></root><kind text="N.C.">none</kind>', "N.C."),
        ("<root><root-step>F</root-step></root><kind>suspended-fourth</kind>", "Fsus4"),
    ],
)
def test_chord_symbols_are_written_as_lead_sheets_do(tmp_path, harmony, text):
    song = song_from(
        tmp_path, one_part(note("G4", 2) + f"<harmony>{harmony}</harmony>" + note("A4", 2))
    )
    assert [(chord.onset, chord.text) for chord in song.chords] == [(2, text)]
    assert len(song.melody) == 2


def test_a_transposing_part_is_kept_as_it_sounds_with_key_and_chords(tmp_path):
    # A clarinet in B flat sounds a whole step below what is written. Common practice, no source.
    song = song_from(
        tmp_path,
        one_part(
            "<harmony><root><root-step>A</root-step></root><kind>minor</kind></harmony>"
            + note("A4", 2)
            + note("B4", 2),
            fifths=2,
            more="<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>",
        ),
    )
    assert song.melody.pitches.tolist() == [67, 69]
    assert song.key == Key("C", "major")
    assert [chord.text for chord in song.chords] == ["Gm"]


def test_a_clef_an_octave_down_moves_nothing(tmp_path):
    # Source: MusicXML 4.0, clef-octave-change: pitches have the octave in them.
    clef = "<clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef>"
    assert song_from(tmp_path, one_part(note("G3", 4), more=clef)).melody.pitches.tolist() == [55]


def test_a_chord_symbol_without_a_root_is_left_out(tmp_path):
    numeral = "<harmony><function>V</function><kind/></harmony>"
    assert song_from(tmp_path, one_part(numeral + note("G4", 4))).chords == ()
