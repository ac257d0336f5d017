"""Colours of marks: visible on their paper, and distinguishable with colour blindness."""

import re
from importlib.resources import files
from itertools import combinations

import numpy as np
import pytest

STYLE = (files("melodex.engraving") / "static" / "music.css").read_text(encoding="utf-8")
LOOKS = [
    dict(re.findall(r"--([\w-]+): (#\w{6})", block))
    for block in re.findall(r":root \{(.*?)\}", STYLE, re.DOTALL)
]
# Linear red, green and blue as seen without one kind of cone. Source: Viénot, Brettel and Mollon,
# "Digital video colourmaps for checking the legibility of displays by dichromats", Color Research
# and Application 24 (1999); numbers from memory.
EYES = {
    "all cones": np.eye(3),
    "no red cones": [[0.11238, 0.88762, 0], [0.11238, 0.88762, 0], [0.00401, -0.00401, 1]],
    "no green cones": [[0.29275, 0.70725, 0], [0.29275, 0.70725, 0], [-0.02234, 0.02234, 1]],
}
# CIE 1976 distance; about 2.3 is just noticeable side by side. From memory.
APART = 20
READABLE = 4.5  # contrast of text. Source: WCAG 2.2, 1.4.3.


def linear(colour):
    """Return linear red, green and blue. Source: IEC 61966-2-1 (sRGB)."""
    value = np.array([int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)])
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def luminance(colour):
    return float(linear(colour) @ [0.2126, 0.7152, 0.0722])


def lightness_and_hue(light):
    """Return CIE 1976 L*a*b*, white D65."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    relative = to_xyz @ light / [0.9505, 1, 1.089]
    x, y, z = np.where(relative > 0.008856, np.cbrt(relative), 7.787 * relative + 16 / 116)
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


def test_there_is_a_look_for_light_dark_and_paper():
    assert len(LOOKS) == 3


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", [*(f"mark-{letter}" for letter in "abcdef"), "ink", "quiet"])
def test_marks_and_words_are_readable_on_their_paper(look, name):
    dark, light = sorted([luminance(look[name]), luminance(look["paper"])])
    assert (light + 0.05) / (dark + 0.05) >= READABLE


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("eyes", EYES)
def test_marks_are_distinct_from_each_other_and_from_plain_notes(look, eyes):
    names = ["ink", *(f"mark-{letter}" for letter in "abcdef")]
    seen = {
        name: lightness_and_hue(np.clip(np.array(EYES[eyes]) @ linear(look[name]), 0, 1))
        for name in names
    }
    nearest = min(float(np.linalg.norm(seen[a] - seen[b])) for a, b in combinations(names, 2))
    assert nearest >= APART
