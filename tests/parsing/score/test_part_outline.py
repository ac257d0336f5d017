"""Which parts of a score are read, and the remark on the choice."""

from xml.etree.ElementTree import fromstring

from melodex.parsing.score.part_outline import outlines_of, parts_needed
from tests.parsing.score.hand_scores import attributes, note, part, score, song_from

TEMPO = (
    "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
    "<per-minute>96</per-minute></metronome></direction-type></direction>"
)
CHORD = "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>"


def in_parts(*measures: str, names: list[str]) -> str:
    """Return a document with one measure in each part."""
    parts = (
        part(attributes() + measure, name=f"P{number}")
        for number, measure in enumerate(measures, start=1)
    )
    return score(*parts, names=names)


def needed(document: str) -> list[str]:
    elements = parts_needed(outlines_of(fromstring(document)))  # noqa: S314
    return [element.get("id", "") for element in elements]


def test_of_parts_that_add_nothing_only_the_melody_is_read():
    document = in_parts(*[note("G4", 4)] * 4, names=["Piano", "Flute", "Melody", "Bass"])
    assert needed(document) == ["P3"]


def test_parts_that_state_what_the_melody_does_not_are_read_too(tmp_path):
    measures = [TEMPO + note("C3", 4), CHORD + note("E3", 4), note("G4", 4), note("C2", 4)]
    document = in_parts(*measures, names=["Piano", "Guitar", "Melody", "Bass"])
    assert needed(document) == ["P1", "P2", "P3"]
    song = song_from(tmp_path, document)
    assert song.melody.pitches.tolist() == [67]
    assert (song.tempo, [chord.text for chord in song.chords]) == (96, ["G"])


def test_the_part_read_is_named_among_all_that_have_notes(tmp_path):
    measures = [note("rest", 4), note("C3", 4), note("G4", 4), note("C2", 4)]
    document = in_parts(*measures, names=["Drums", "Guitar", "Melody", "Bass"])
    assert song_from(tmp_path, document).remarks == (
        'Read part 2 of 3, "Melody"; the others are left out.',
    )


def test_groups_of_parts_may_name_parts_that_are_left_out(tmp_path):
    group = '<part-group number="1" type="{}"/>'
    document = in_parts(note("G4", 4), note("C3", 4), names=["Flute", "Bass"])
    document = document.replace("<part-list>", f"<part-list>{group.format('start')}")
    document = document.replace("</part-list>", f"{group.format('stop')}</part-list>")
    assert song_from(tmp_path, document).melody.pitches.tolist() == [67]
