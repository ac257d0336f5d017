"""Real scores, compared with music21's own flattened notes.

The whole of music21's corpus was once compared like this; here are a few scores of every kind.
"""

import warnings
from pathlib import Path
from typing import Any

import music21
import pytest

from melodex.model.melody import Melody
from melodex.parsing.corpus_walk import bundled_files
from melodex.parsing.formats import read_file

SCORES = [  # as shown, and the part that is read, counted from the top
    ("bach/bwv1.6.mxl", 0),
    ("bach/bwv66.6.mxl", 0),
    ("bach/bwv277.krn", 0),
    ("bach/bwv281.krn", 0),
    ("corelli/opus3no1/1grave.xml", 0),
    ("demos/nested_tuplet_finale_test2.xml", 0),
    ("demos/two-parts.xml", 0),
    ("handel/rinaldo/Lascia_chio_pianga.mxl", 0),
    ("johnson_j_r/lift_every_voice.mxl", 0),
    ("leadSheet/berlinAlexandersRagtime.mxl", 0),
    ("leadSheet/fosterBrownHair.mxl", 0),
    ("liliuokalani/aloha_oe.mxl", 4),  # "Solo Voice", below a choir
    ("luca/gloria.xml", 0),
    ("palestrina/Agnus.krn", 0),
    ("palestrina/Benedictus_19_b.krn", 0),
    ("schubert/Lindenbaum.xml", 0),
    ("trecento/Fava_Dicant_nunc_iudei.xml", 0),
    ("verdi/laDonnaEMobile.mxl", 0),
    ("weber/concertino_clarinet.mxl", 0),  # written for B flat, kept as it sounds
    ("webern/webern_dormi_jesu_op_16_no_2.mxl", 0),
]
Notes = set[tuple[float, int]]  # onset in quarter notes, pitch


def bundled_path(shown_as: str) -> Path:
    files = bundled_files(shown_as.partition("/")[0])
    return next(file.path for file in files if file.shown_as == shown_as)


def notes_of(melody: Melody) -> Notes:
    """Return every note of a melody and of its chords."""
    tones = melody.chord_tones
    chords = zip(melody.onsets[tones.notes].tolist(), tones.pitches.tolist(), strict=True)
    line = zip(melody.onsets.tolist(), melody.pitches.tolist(), strict=True)
    return {(round(onset, 4), pitch) for onset, pitch in (*line, *chords)}


def notes_by_music21(path: Path, part_number: int) -> Notes:
    """Return every struck note of a part at sounding pitch, flattened by music21."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score: Any = music21.converter.parse(path, forceSource=True)
        part = score.parts[part_number].toSoundingPitch().stripTies()
    return {
        (round(float(element.offset), 4), pitch.midi)
        for element in part.flatten().notes
        if "Harmony" not in element.classes and not element.duration.isGrace
        for pitch in element.pitches
    }


@pytest.mark.parametrize(("shown_as", "part_number"), SCORES)
def test_a_real_score_gives_the_notes_that_music21_flattens(shown_as, part_number):
    path = bundled_path(shown_as)
    (song,) = read_file(path, shown_as=shown_as).songs
    assert notes_of(song.melody) == notes_by_music21(path, part_number)


def test_a_lead_sheet_gives_its_chord_symbols_and_words():
    path = bundled_path("leadSheet/fosterBrownHair.mxl")
    (song,) = read_file(path).songs
    assert song.title == "Jeanie With The Light Brown Hair"
    # Source: music21's figures of the same score.
    assert [chord.text for chord in song.chords[:9]] == [
        "F",
        "Bb",
        "F",
        "C",
        "F",
        "Bb",
        "F",
        "G7",
        "C",
    ]
    assert [word.text for word in song.lyrics[:3]] == ["I", "dream", "of"]


def test_repeats_and_endings_of_a_real_score_are_followed():
    path = bundled_path("leadSheet/berlinAlexandersRagtime.mxl")
    (song,) = read_file(path).songs
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score: Any = music21.converter.parse(path, forceSource=True)
        played = score.parts[0].expandRepeats().duration.quarterLength
    assert sum(stop - start for start, stop in song.sections.tolist()) == played
