"""MIDI files converted to songs."""

from pathlib import Path

import mido
import music21
import pytest

from melodex.errors import ScoreParseError
from melodex.model.key import Key
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.formats import read_file
from melodex.parsing.midi.midi_reader import read_midi
from tests.parsing.midi.midi_files import (
    Note,
    file_of,
    in_a_row,
    metre,
    song_of_midi,
    tempo_of,
    track,
)

PRIMITIVES = Path(music21.__file__).parent / "midi" / "testPrimitive"
REAL_FILES = ["test06", "test07", "test08", "test10", "test18"]  # of one part, exact
NO_METRE = "The file states no metre; its measures are counted as if in 4/4."
QUARTERS = in_a_row(1, 1, 1, 1, 1)
STRAY_KEYS = [("note_on", 72), ("note_off", 72), ("note_on", 50)]


def song_from(*tracks, layout=1, division=480):
    return song_of_midi(file_of(*tracks, layout=layout, division=division))


def reason_for(content):
    with pytest.raises(ScoreParseError) as caught:
        read_midi(content, "gate.mid", "")
    return caught.value.reason


@pytest.mark.parametrize("name", REAL_FILES)
def test_the_notes_of_a_real_file_begin_where_its_ticks_say(name):
    file = mido.MidiFile(PRIMITIVES / f"{name}.mid")
    begun = set()
    for messages in file.tracks:
        now = 0
        for message in messages:
            now += message.time
            if message.type == "note_on" and message.velocity:
                begun.add((round(now / file.ticks_per_beat, 4), message.note))
    (song,) = read_file(PRIMITIVES / f"{name}.mid").songs
    onsets = song.melody.onsets.tolist()
    tones = song.melody.chord_tones
    read = {(round(at, 4), pitch) for at, pitch in zip(onsets, song.melody.pitches, strict=True)}
    read |= {
        (round(onsets[note], 4), pitch)
        for note, pitch in zip(tones.notes, tones.pitches, strict=True)
    }
    assert read == begun


def test_notes_metre_key_tempo_and_measures_are_read():
    key = mido.MetaMessage("key_signature", key="Em")
    song = song_from(track(QUARTERS, metre(4, 4), key, tempo_of(96)))
    assert song.melody.pitches.tolist() == [62, 64, 66, 67, 69]
    assert song.melody.onsets.tolist() == [0, 1, 2, 3, 4]
    assert song.melody.measures.tolist() == [1, 1, 1, 1, 2]
    assert (song.metre, song.tempo) == (Metre(4, 4), pytest.approx(96))
    assert song.key == Key("E", "minor", (("F", 1),))
    assert song.remarks == ()


def test_without_a_metre_the_song_has_none_and_says_how_measures_are_counted():
    song = song_from(track(QUARTERS))
    assert (song.metre, song.key, song.tempo) == (FREE_METRE, None, None)
    assert song.melody.measures.tolist() == [1, 1, 1, 1, 2]
    assert song.remarks == (NO_METRE,)


def test_a_pickup_that_the_metres_show_is_measure_0():
    song = song_from(track(QUARTERS, metre(1, 4), metre(4, 4, time=480)))
    assert song.metre == Metre(4, 4)
    assert song.melody.measures.tolist() == [0, 1, 1, 1, 1]


def test_overlapping_notes_make_one_line_and_a_remark_says_so():
    notes = [Note(0, 2, 60), Note(1, 2, 64), Note(2, 1, 67)]
    song = song_from(track(notes, metre(4, 4)))
    assert song.melody.pitches.tolist() == [60, 64, 67]
    assert song.melody.durations.tolist() == [1, 1, 1]
    assert song.remarks == (
        "2 notes still sound when the next one begins; they are cut short there.",
    )


def test_of_notes_that_begin_together_the_highest_is_the_melody_and_a_remark_says_so():
    song = song_from(track([Note(0, 1, 60), Note(0, 1, 67), Note(1, 1, 64)], metre(4, 4)))
    assert song.melody.pitches.tolist() == [67, 64]
    assert song.melody.chord_tones.pitches.tolist() == [60]
    assert song.remarks == ("Notes begin together once; the highest is read as the melody.",)


def test_keys_of_a_chord_that_go_down_one_after_the_other_are_one_chord():
    # Source: Goebl 2001 (from memory): within 30 ms; at 120 quarter notes a minute .06 of one.
    chords = [
        Note(place + late, 0.95, pitch)
        for place, lates in enumerate([(0.01, 0.04), (0.03, 0.0), (0.02, 0.05)] * 4)
        for late, pitch in zip(lates, (60, 67), strict=True)
    ]
    song = song_from(track(chords, metre(4, 4)))
    assert song.melody.pitches.tolist() == [67] * 12
    assert song.melody.onsets.tolist() == list(range(12))


def test_rounding_is_reported_with_the_number_of_notes_and_the_largest_shift():
    # 10 of 480 ticks at 120 quarter notes a minute: 10.4 ms.
    moved = [
        note._replace(onset=note.onset + 10 / 480 * (i % 2)) for i, note in enumerate(QUARTERS)
    ]
    song = song_from(track(moved, metre(4, 4)))
    assert song.melody.onsets.tolist() == [0, 1, 2, 3, 4]
    assert song.remarks[0] == (
        "The onsets of 2 of 5 notes were rounded, by up to 10 ms, to the simplest rhythm that fits "
        "them."
    )


def test_detached_notes_are_written_as_lasting_until_the_next_and_a_remark_says_so():
    song = song_from(track([note._replace(duration=0.83) for note in QUARTERS], metre(4, 4)))
    assert song.melody.durations.tolist() == [1, 1, 1, 1, 1]
    assert song.remarks == ("5 notes end early as played; they are written as lasting longer.",)


def test_a_note_released_a_tick_before_the_next_gets_no_remark():
    notes = [note._replace(duration=note.duration - 1 / 480) for note in QUARTERS]
    song = song_from(track(notes, metre(4, 4)))
    assert (song.melody.durations.tolist(), song.remarks) == ([1, 1, 1, 1, 1], ())


def test_the_title_is_the_name_of_the_sequence():
    named = track([], metre(4, 4), name="The Green Gate")
    assert song_from(named, track(QUARTERS, name="Fiddle")).title == "The Green Gate"


@pytest.mark.parametrize("name", ["", "Piano", "Fiddle"])
def test_a_file_whose_first_track_is_an_instrument_is_called_after_itself(name):
    assert song_from(track(QUARTERS, metre(4, 4), name=name)).title == "gate"


def test_of_several_tracks_the_remark_names_the_one_that_is_read():
    bass = [Note(place, 1, 43) for place in range(5)]
    conductor = track([], metre(4, 4))
    song = song_from(conductor, track(bass, name="Bass"), track(QUARTERS, name="Fiddle"))
    assert song.remarks == ('Read track 2 of 2, "Fiddle"; the others are left out.',)


def test_of_several_channels_in_a_track_the_remark_names_the_one_that_is_read():
    both = track(QUARTERS, metre(4, 4), channel=4)
    drums = track([Note(0, 5, 38)], channel=9)
    song = song_from(mido.merge_tracks([both, drums]), layout=0)
    assert song.melody.pitches.tolist() == [62, 64, 66, 67, 69]
    assert song.remarks == ("Read channel 5, one of 2 channels; the others are left out.",)


def test_each_track_of_format_2_is_a_song_and_one_without_notes_costs_no_other():
    first, second = track(QUARTERS, metre(3, 4), name="Gate"), track(in_a_row(2, 2), name="Weir")
    reading = read_midi(file_of(first, track([]), second, layout=2), "book.mid", "class")
    assert [(song.title, song.source.tune, str(song.metre)) for song in reading.songs] == [
        ("Gate", "1", "3/4"),
        ("Weir", "3", "none"),
    ]
    assert [(failure.tune, failure.reason) for failure in reading.failures] == [
        ("2", "it has no notes with a pitch")
    ]


@pytest.mark.parametrize(("frames", "ticks"), [(24, 20), (25, 40), (29, 100), (30, 80)])
def test_a_file_that_counts_frames_of_film_is_read_by_the_beats_in_it(frames, ticks):
    # Source: Standard MIDI Files specification 1.0 (from memory): the division is then minus the
    # frames a second, and the ticks of a frame; 29 stands for 29.97.
    a_second = (30 / 1.001 if frames == 29 else frames) * ticks
    notes = in_a_row(*[1, 0.5, 0.5, 1, 1, 0.25, 0.25, 0.5, 1, 2] * 6)
    content = bytearray(file_of(track(notes, division=round(a_second * 60 / 88))))
    content[12:14] = bytes([256 - frames, ticks])
    song = song_of_midi(bytes(content))
    assert song.tempo == pytest.approx(88, abs=1)
    assert song.melody.onsets.tolist() == [note.onset for note in notes]


def test_notes_without_length_and_notes_without_end_are_counted_in_remarks():
    content = track(QUARTERS, metre(4, 4))
    content[1:1] = [mido.Message(kind, note=note) for kind, note in STRAY_KEYS]
    remarks = song_from(content).remarks
    assert "1 note without duration is left out." in remarks
    assert "1 note is never ended, and lasts until its track ends." in remarks


def test_a_key_that_makes_no_sense_costs_the_key_alone():
    content = file_of(track(QUARTERS, metre(4, 4), mido.MetaMessage("key_signature", key="G")))
    song = song_of_midi(content.replace(b"\xff\x59\x02\x01\x00", b"\xff\x59\x02\x7f\x00"))
    assert (song.key, song.remarks) == (None, ("A key signature that is not valid is left out.",))


@pytest.mark.parametrize("tempo", [0, 1, 0xFFFFFF])
def test_a_tempo_beyond_any_music_is_not_kept(tempo):
    song = song_from(track(QUARTERS, metre(4, 4), mido.MetaMessage("set_tempo", tempo=tempo)))
    assert (song.tempo, song.melody.onsets.tolist()) == (None, [0, 1, 2, 3, 4])


def test_percussion_alone_is_refused_with_that_reason():
    assert reason_for(file_of(track(QUARTERS, channel=9))) == (
        "it has no notes with a pitch, only percussion"
    )


def test_a_file_that_lasts_for_days_is_refused():
    assert "longer than 10,000 measures" in reason_for(
        file_of(track([Note(0, 1), Note(400_000, 1)]))
    )


def test_twenty_thousand_notes_are_read():
    song = song_from(track(in_a_row(*[0.5] * 20_000), metre(4, 4)))
    assert len(song.melody) == 20_000
    assert song.melody.measures[-1] == 2500


def test_ten_thousand_notes_struck_at_once_are_a_chord():
    pile = [Note(0, 1, 60 + place % 8) for place in range(10_000)]
    song = song_from(track(pile, metre(4, 4)))
    assert (len(song.melody), song.melody.pitches.tolist()) == (1, [67])
