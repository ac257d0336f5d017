"""The songbook's tabs against its labels and its truth file.

The files are read here by a plain XML walk, with music21 as the witness.
"""

import csv
import itertools
import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree as ET

import music21
import pytest

from tests.songbook import SONGBOOK, TERMS, TRUTH, lick_song, songs_of_book

FILES = sorted(SONGBOOK.glob("*.musicxml"))
ROLLED_PLACES = [place for place in TRUTH["place"] if place["file"].endswith(".musicxml")]
with (SONGBOOK / "roll_labels.csv").open(encoding="utf-8", newline="") as lines:
    LABELS = list(csv.DictReader(lines))

# gDGBD, string 1 first. Common practice, no source.
OPEN_G = (62, 59, 55, 50, 67)
HALF_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
MEASURE_BEATS = 4

# The strings of eight eighths of each roll; thumb on 3 to 5, index on 2 or 3, middle on 1. A roll
# of threes may begin with any finger, and its last eighth is free to lead on. Common practice, no
# source.
THUMB, INDEX, MIDDLE = "[345]", "[23]", "1"
PATTERNS = {
    "forward": [
        (THUMB, INDEX, MIDDLE) * 2 + (THUMB, "."),
        ("2", MIDDLE, THUMB) * 2 + ("2", "."),
        (MIDDLE, THUMB, INDEX) * 2 + (MIDDLE, "."),
    ],
    "backward": [(MIDDLE, INDEX, THUMB) * 2 + (MIDDLE, ".")],
    "forward-reverse": [(THUMB, *"2151", INDEX, THUMB, MIDDLE)],
    "alternating-thumb": [(THUMB, *"251") * 2],
}
FINGERS = {
    "forward-reverse": {"pimpmipm"},
    "alternating-thumb": {"pipmpipm"},
    "forward": {"pimpimpm", "impimpim", "mpimpimp", "impimpip", "mpimpimi"},
    "backward": {"mipmipmi", "mipmipmp"},
}


class Struck(NamedTuple):
    """A note of the tab."""

    onset: float  # quarter notes from its bar line
    pitch: int
    string: int
    fret: int
    finger: str  # p, i or m; empty where the left hand alone sounds the note


def midi_number(element, step, alter, octave):
    shift = int(element.findtext(alter, "0"))
    return 12 * (int(element.findtext(octave)) + 1) + HALF_STEPS[element.findtext(step)] + shift


def struck(note, onset):
    technical = note.find("notations/technical")
    return Struck(
        onset,
        midi_number(note.find("pitch"), "step", "alter", "octave"),
        int(technical.findtext("string")),
        int(technical.findtext("fret")),
        note.findtext("notations/technical/pluck", ""),
    )


def tab_of_measure(measure, divisions):
    clock, onset, tab = 0.0, 0.0, []
    for element in measure:
        if element.tag not in {"note", "backup"}:
            continue
        duration = int(element.findtext("duration")) / divisions
        if element.tag == "backup":
            clock -= duration
            continue
        if element.find("chord") is None:
            onset, clock = clock, clock + duration
        if element.find("notations/technical/string") is not None:
            tab.append(struck(element, onset))
    return tab


@cache
def root_of(file):
    return ET.parse(SONGBOOK / file).getroot()  # noqa: S314 - our own file


@cache
def tab_of(file):
    """The tab of each measure, by number; the tab is the last part or staff."""
    root = root_of(file)
    divisions = int(root.findtext(".//divisions"))
    part = root.findall("part")[-1]
    return {
        int(measure.get("number")): tab_of_measure(measure, divisions)
        for measure in part.findall("measure")
    }


@cache
def witness(file):
    return music21.converter.parse(SONGBOOK / file, forceSource=True)


def file_name(path):
    return path.name if isinstance(path, Path) else None


def place_name(place):
    return f"{place['lick']} in {place['file']} {place['first_measure']}"


# ---------------------------------------------------------------- what each file says


@pytest.mark.parametrize("path", FILES, ids=file_name)
def test_every_measure_fills_its_metre_and_a_pickup_is_made_up_for_at_the_end(path):
    for part in witness(path.name).parts:
        measures = list(part.getElementsByClass("Measure"))
        lengths = [measure.duration.quarterLength for measure in measures]
        if measures[0].number == 0:
            assert lengths[0] + lengths[-1] == MEASURE_BEATS
            lengths = lengths[1:-1]
        assert set(lengths) == {MEASURE_BEATS}


@pytest.mark.parametrize("path", FILES, ids=file_name)
def test_string_and_fret_sound_the_pitch_written_beside_them(path):
    details = root_of(path.name).find(".//staff-details")
    lines = sorted(details.findall("staff-tuning"), key=lambda line: -int(line.get("line")))
    tuning = [midi_number(e, "tuning-step", "tuning-alter", "tuning-octave") for e in lines]
    assert tuple(tuning) == OPEN_G
    for note in itertools.chain.from_iterable(tab_of(path.name).values()):
        assert note.pitch == tuning[note.string - 1] + note.fret


@pytest.mark.parametrize("path", FILES, ids=file_name)
def test_music21_reads_the_same_pitches_strings_and_frets(path):
    read: list[tuple[float, int, int, int]] = []
    for note in witness(path.name).parts[-1].recurse().getElementsByClass(["Note", "Chord"]):
        if isinstance(note, music21.harmony.ChordSymbol):
            continue
        marks = note.articulations
        strings = [m.number for m in marks if type(m) is music21.articulations.StringIndication]
        frets = [m.number for m in marks if type(m) is music21.articulations.FretIndication]
        pitches = [pitch.midi for pitch in note.pitches]
        onsets = [float(note.offset)] * len(pitches)
        read += zip(onsets, pitches, strings, frets, strict=True)
    written = itertools.chain.from_iterable(tab_of(path.name).values())
    assert read == [note[:4] for note in written]


@pytest.mark.parametrize("path", FILES, ids=file_name)
def test_notation_beside_the_tab_is_written_an_octave_above_the_sound(path):
    notes = root_of(path.name).findall(".//note")
    plain = [note for note in notes if note.find("notations/technical/string") is None]
    if not plain:
        assert root_of(path.name).find(".//transpose") is None
        return
    written = [midi_number(n.find("pitch"), "step", "alter", "octave") for n in plain]
    sounding = [n.pitch for n in itertools.chain.from_iterable(tab_of(path.name).values())]
    assert written == [pitch + 12 for pitch in sounding]
    assert root_of(path.name).findtext(".//transpose/octave-change") == "-1"


# ------------------------------------------------------------------------ rolls


def plucked(file, measure):
    """The strings that the right hand plays, one entry for each moment."""
    by_moment = itertools.groupby(
        (note for note in tab_of(file)[measure] if note.finger), key=lambda note: note.onset
    )
    return [list(notes) for _, notes in by_moment]


def kinds_that_fit(moments):
    strings = "".join(str(m[0].string) if len(m) == 1 else "x" for m in moments)
    fitting = [
        kind
        for kind, patterns in PATTERNS.items()
        if any(re.fullmatch("".join(pattern), strings) for pattern in patterns)
    ]
    if 2 * strings.count("x") >= len(strings):
        fitting.append("pinch")
    return fitting or ["none"]


@pytest.mark.parametrize(
    "label", LABELS, ids=lambda label: f"{label['file']} {label['measure']} {label['kind']}"
)
def test_a_measure_labelled_by_hand_plays_the_strings_of_that_roll_and_of_no_other(label):
    assert kinds_that_fit(plucked(label["file"], int(label["measure"]))) == [label["kind"]]


@pytest.mark.parametrize("kind", sorted(FINGERS))
def test_thumb_index_and_middle_follow_each_other_as_the_roll_wants(kind):
    labelled = [label for label in LABELS if label["kind"] == kind]
    for label in labelled:
        moments = plucked(label["file"], int(label["measure"]))
        assert "".join(moment[0].finger for moment in moments) in FINGERS[kind], label


def test_there_are_enough_labels_of_every_kind_to_measure_a_recogniser():
    kinds = [label["kind"] for label in LABELS]
    for kind in (*FINGERS, "pinch"):
        assert kinds.count(kind) >= 11
    assert kinds.count("none") >= 20


# -------------------------------------------------------------- melodies inside the rolls


def file_of(title):
    return next(p.name for p in FILES if root_of(p.name).findtext("work/work-title") == title)


def plain_song(title):
    return next(songs_of_book(book)[title] for book in TERMS if title in songs_of_book(book))


def on_the_beat(song):
    """(measure, quarter notes from its bar line, pitch) of each note that begins on a beat."""
    bar_lines = dict(zip(song.measures.numbers, song.measures.onsets, strict=True))
    melody = song.melody
    for number, onset, pitch in zip(melody.measures, melody.onsets, melody.pitches, strict=True):
        beat = float(onset - bar_lines[number])
        if beat.is_integer():
            yield int(number), beat, int(pitch)


@pytest.mark.parametrize("pair", TRUTH["pair"], ids=lambda pair: pair["plain"])
def test_the_plain_tune_stands_on_its_beats_in_the_rolled_arrangement(pair):
    song, tab = plain_song(pair["plain"]), tab_of(file_of(pair["rolled"]))
    assert song.measures.numbers.tolist() == list(tab)
    rolled = {(number, note.onset, note.pitch) for number in tab for note in tab[number]}
    assert set(on_the_beat(song)) <= rolled


@pytest.mark.parametrize("place", ROLLED_PLACES, ids=place_name)
def test_a_planted_place_has_the_licks_notes_in_order_among_those_of_the_roll(place):
    tab = tab_of(place["file"])
    numbers = range(place["first_measure"], place["last_measure"] + 1)
    sounding = iter([note.pitch for number in numbers for note in tab[number]])
    for pitch in lick_song(place["lick"]).melody.pitches:
        assert pitch + place["transposition"] in sounding  # "in" reads on from the note before


def test_every_lick_is_planted_in_two_rolled_songs_or_more():
    planted = {(place["lick"], place["song"]) for place in ROLLED_PLACES}
    songs_of_lick = Counter(lick for lick, _ in planted)
    assert min(songs_of_lick[lick["id"]] for lick in TRUTH["lick"]) >= 2
