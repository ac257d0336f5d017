"""Parse metres written as ratios."""

import re

from melodex.model.metre import Metre

_RATIO = re.compile(r"(\d+(?:\+\d+)*)/(\d+)(?:\+|$)")
_LONGEST_TEXT = 60
_MOST_BEATS, _FINEST_UNIT = 99, 128  # no music exceeds these; common practice, no source


def metre_from_ratios(text: str) -> Metre | None:
    """Parse "6/8", "3+2/8" or "2/4+3/8"; None if music has no such metre.

    Groups are counted in the finest unit: 2/4+3/8 is 7/8 in groups of 4 and 3.
    """
    if len(text) > _LONGEST_TEXT or not re.fullmatch(f"(?:{_RATIO.pattern})+", text):
        return None
    ratios = [(beats.split("+"), int(unit)) for beats, unit in _RATIO.findall(text)]
    finest = max(unit for _, unit in ratios)
    units_of_music = {2**exponent for exponent in range(_FINEST_UNIT.bit_length())}
    if not units_of_music.issuperset(unit for _, unit in ratios):
        return None
    groups = tuple(int(beats) * finest // unit for parts, unit in ratios for beats in parts)
    if 0 in groups or sum(groups) > _MOST_BEATS:
        return None
    return Metre(sum(groups), finest, groups if len(groups) > 1 else ())
