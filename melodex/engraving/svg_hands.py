"""Draw what the hands do on a tab: left-hand techniques above, right-hand fingers below.

The fingers of a pinch are in one column, string 1 first; frets of the melody are ringed. Words that
count the beats are in a row below the fingers.
"""

from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement

from melodex.engraving.mei import COUNT, Score
from melodex.model.tablature import TabNote
from melodex.notation.written_measures import Sound

_LETTERS = {"hammer-on": "H", "pull-off": "P", "slide": "S", "choke": "Ch"}
_SIZE = 300  # SVG units; a staff space is 180
FINGER_ROW = 370  # between baselines; a line of common fonts needs 345 to 350
_BELOW, _ABOVE = 480, 200  # from the outermost tab line to letters
_SPACE, _SPACES = 315, 4  # SVG units between two tab lines, and their number
_BASELINE, _STEP = 110, 314  # of a digit below its line; between digits of adjacent strings
_FRAME = 270  # from the centre of a digit to the corners of a diamond around it
_RING, _WIDE_RING = 180, 270  # radii of a ring around one digit, and horizontally around two
_BEFORE_MIDDLE = 113  # from Verovio's start of a word to the centre of the note above it
_ARC_IN = 400  # length of half an arc before a digit next to a bar line
_RAISED = 250  # of an arc above the baseline of the digits it joins


class _Digit(NamedTuple):
    group: Element
    x: int
    y: int  # of the baseline


def add_hands(root: Element, score: Score) -> None:
    """Add letters and arcs to the groups of the notes that they belong to."""
    if score.tab is None:
        return
    groups = {group.get("data-id"): group for group in root.iter("g")}
    before: dict[int, _Digit] = {}  # by string
    for number, sound in enumerate(score.tab.sounds):
        above = _Above()
        rows = {finger: row for row, finger in enumerate(_fingers_of(sound))}
        for place, head in enumerate(sound.heads):
            ids = score.tab.ids[number, place]
            digit = _digit(groups.get(ids[0])) if ids else None
            if digit is None or head.on_string is None:
                continue
            string = head.on_string.string
            top = _top_line(digit, string)
            if head.on_string.finger in rows:  # once, even if it brushes several strings
                below = _BELOW + FINGER_ROW * rows.pop(head.on_string.finger)
                _add_letter(digit, head.on_string.finger, top + _SPACES * _SPACE + below)
            if head.on_string.is_melody:
                _add_ring(digit, head.on_string.fret)
            if head.on_string.left_hand:
                above.mark(head.on_string, digit, before.get(string), top - _ABOVE)
            before[string] = digit


class _Above:
    """Letters above notes that sound together: one for each technique, without overlaps."""

    def __init__(self) -> None:
        self._letters: list[str] = []

    def mark(self, note: TabNote, digit: _Digit, earlier: _Digit | None, y: int) -> None:
        """Mark a technique by its letter, and by an arc from the note that it starts on."""
        x = digit.x if note.is_struck else _join(earlier, digit)
        letter = _LETTERS[note.left_hand]
        if letter not in self._letters:
            _add_letter(digit, letter, y - len(self._letters) * _SIZE, x=x)
            self._letters.append(letter)


def rows_below(score: Score) -> int:
    """Return the number of rows (fingers and count) below a score's tab; at least 1."""
    return max(1, _finger_rows(score) + score.is_counted)


def add_counts(measure: Element, below: int, score: Score) -> None:
    """Move the words that count a measure's beats to one row below the fingers.

    Parameters
    ----------
    below : int
        The y of the lowest staff line of the measure.
    """
    y = below + _BELOW + FINGER_ROW * _finger_rows(score)
    for group in measure.iter("g"):
        text = group.find("text")
        if text is None or COUNT not in group.get("class", "").split():
            continue
        word = "".join(text.itertext())
        x = int(text.attrib["x"]) + _BEFORE_MIDDLE
        group.remove(text)
        _add_text(group, word, x, y, kind="hand count")


def _finger_rows(score: Score) -> int:
    sounds = score.tab.sounds if score.tab else ()
    return max((len(_fingers_of(sound)) for sound in sounds), default=0)


def _fingers_of(sound: Sound) -> list[str]:
    """Return the fingers that strike a sound, string 1 first, without repetitions."""
    notes = [head.on_string for head in sound.heads if head.on_string is not None]
    letters = (note.finger for note in sorted(notes, key=lambda note: note.string))
    return list(dict.fromkeys(filter(None, letters)))


def _add_ring(digit: _Digit, fret: int) -> None:
    width = _RING if len(str(fret)) == 1 else _WIDE_RING
    place = {"cx": str(digit.x), "cy": str(digit.y - _BASELINE), "rx": str(width), "ry": str(_RING)}
    digit.group.append(Element("ellipse", {"class": "melody-ring", **place}))


def _digit(group: Element | None) -> _Digit | None:
    text = None if group is None else group.find("text")
    if group is None or text is None:
        return None
    return _Digit(group, int(text.attrib["x"]), int(text.attrib["y"]))


def _top_line(digit: _Digit, string: int) -> int:
    return digit.y - _BASELINE - (string - 1) * _STEP


def _add_letter(digit: _Digit, letter: str, y: int, *, x: int | None = None) -> None:
    _add_text(digit.group, letter, digit.x if x is None else x, y, kind="hand")


def _add_text(group: Element, word: str, x: int, y: int, *, kind: str) -> None:
    place = {"x": str(x), "y": str(y), "text-anchor": "middle"}
    text = SubElement(group, "text", {"class": kind, "font-size": f"{_SIZE}px", **place})
    text.text = word


def frame_differing(root: Element) -> None:
    """Draw diamonds around the frets of differing notes, whose heads on the staff are diamonds."""
    for group in root.iter("g"):
        digit = _digit(group) if "differs" in group.get("class", "").split() else None
        if digit is not None:
            x, y = digit.x, digit.y - _BASELINE
            corners = f"{x},{y - _FRAME} {x + _FRAME},{y} {x},{y + _FRAME} {x - _FRAME},{y}"
            group.append(Element("polygon", {"class": "differs-frame", "points": corners}))


def _join(earlier: _Digit | None, digit: _Digit) -> int:
    """Draw an arc to a digit from the previous one on its string; return the x of its letter.

    An arc from before the picture has half its length.
    """
    low, high = digit.y - _RAISED, digit.y - _RAISED - _RAISED // 2
    if earlier is not None:
        middle = (earlier.x + digit.x) // 2
        _draw_arc(digit.group, f"M{earlier.x} {low} Q{middle} {high} {digit.x} {low}")
        return middle
    up = low - _RAISED // 4
    turn, begin = digit.x - _ARC_IN // 2, digit.x - _ARC_IN
    _draw_arc(digit.group, f"M{begin} {up} Q{turn} {up} {digit.x} {low}")
    return turn


def _draw_arc(group: Element, path: str) -> None:
    SubElement(group, "path", {"class": "hand-arc", "d": path, "fill": "none"})
