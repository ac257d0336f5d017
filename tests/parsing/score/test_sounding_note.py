"""The elements of a note that affect its sound."""

from xml.etree.ElementTree import fromstring

from melodex.parsing.score.sounding_note import sounding_note
from tests.parsing.score.hand_scores import note, one_part, song_from


def test_stems_beams_articulations_and_further_verses_are_left_out():
    written = (
        '<note default-x="12" dynamics="loud"><pitch><step>G</step><octave>4</octave></pitch>'
        '<duration>1</duration><stem>up</stem><beam number="1">begin</beam>'
        "<notations><articulations><staccato/></articulations></notations>"
        "<lyric><text>one</text></lyric><lyric><text>two</text></lyric></note>"
    )
    slim = sounding_note(fromstring(written), "")  # noqa: S314
    assert (slim.attrib, [child.tag for child in slim]) == ({}, ["pitch", "duration", "lyric"])
    assert slim.findtext("lyric/text") == "one"


def test_the_finger_that_plucks_is_read_from_notations_of_its_own(tmp_path):
    pluck = "<notations><technical><pluck>i</pluck></technical></notations></note>"
    plucked = note("G4", 4, string=3, fret=0).replace("</note>", pluck)
    song = song_from(tmp_path, one_part(plucked, note("A4", 4, string=3, fret=2)))
    assert [(touch.note, touch.finger) for touch in song.touches] == [(0, "I")]
