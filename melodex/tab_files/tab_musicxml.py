"""Write tab as a MusicXML 4.0 score: one part with a staff of notation and a five-line tab staff.

Frets of the short string are counted along the neck, which `melodex add` understands. Pitches and
chords are sounding, and the clef of the notation has an 8 below, so that it is read an octave
higher. A capo is stated beside the tuning of the open strings without it; chord names are not those
of the shapes played with it.
"""

from xml.etree.ElementTree import Element, SubElement, indent, tostring

from melodex.model.tablature import Tab
from melodex.notation.tab_measures import measures_of_tab
from melodex.tab_files.musicxml_measures import MeasureWriter
from melodex.tab_files.xml_elements import with_text


def tab_musicxml(tab: Tab, measures: tuple[int, int] | None = None) -> bytes:
    """Return a tab as a MusicXML document in UTF-8.

    Parameters
    ----------
    measures : (int, int) or None
        First and last number as written; None for all.

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    chosen = measures_of_tab(tab, measures)
    root = Element("score-partwise", version="4.0")
    with_text(SubElement(root, "work"), "work-title", tab.song.title)
    if tab.song.other_titles:
        with_text(root, "movement-title", tab.song.other_titles[0])
    for caution in tab.cautions:
        with_text(SubElement(root, "credit", page="1"), "credit-words", caution)
    part_list = SubElement(root, "part-list")
    with_text(SubElement(part_list, "score-part", id="P1"), "part-name", "Banjo")
    part = SubElement(root, "part", id="P1")
    part.extend(MeasureWriter(tab, chosen).measure_elements())
    indent(root)
    document: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return document + b"\n"
