"""Which part of a score carries the tune."""

import pytest

from tests.parsing.score.hand_scores import attributes, note, part, score, song_from

PERCUSSION = (
    "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave>"
    "</unpitched><duration>48</duration></note>"
)


@pytest.mark.parametrize(
    ("names", "measures", "pitch"),
    [
        (["Flute", "Guitar"], [note("C5", 4), note("C3", 4)], 72),
        (["Guitar", "Vocal"], [note("C3", 4), note("C5", 4)], 72),
        (["Piano", "Melody"], [note("C3", 4), note("C5", 4)], 72),
        (["Drums", "Guitar"], [PERCUSSION, note("C3", 4)], 48),
        (["Voice", "Guitar"], [note("rest", 4), note("C3", 4)], 48),
    ],
)
def test_the_part_named_for_the_tune_is_read_else_the_first_with_notes(
    tmp_path, names, measures, pitch
):
    parts = [
        part(attributes() + measure, name=f"P{number}")
        for number, measure in enumerate(measures, start=1)
    ]
    song = song_from(tmp_path, score(*parts, names=names))
    assert song.melody.pitches.tolist() == [pitch]
