"""Letters and words below and above a tab keep clear of each other, as Chromium sets them."""

import pytest

# Which texts of a picture overlap: letters and counts by whole lines, as the browser has them,
# and with digits, which stand closer than lines do, by what is inked: from the baseline up to the
# height of capitals, which is 0.73 of the size or less (from memory).
OVERLAPS = """
() => [...document.querySelectorAll(".music")].flatMap((music) => {
  const boxes = [...music.querySelectorAll(".hand, .tabGrp .note > text")].map((text) => {
    const { x, y, width, height } = text.getBBox();
    const isDigit = !text.classList.contains("hand"), baseline = Number(text.getAttribute("y"));
    const size = parseFloat((text.querySelector("tspan") || text).getAttribute("font-size"));
    return { word: text.textContent, isDigit, left: x, right: x + width,
      line: [y, y + height], ink: [baseline - 0.73 * size, baseline] };
  });
  const meet = ([top, bottom], [above, below]) => top < below && above < bottom;
  return boxes.flatMap((one, place) => boxes.slice(place + 1).filter((other) => {
    const way = one.isDigit || other.isDigit ? "ink" : "line";
    return one.left < other.right && other.left < one.right && meet(one[way], other[way]);
  }).map((other) => one.word + " over " + other.word));
})
"""
PINCHES = [
    "/songs/marrow-patch/tab?count=1",
    "/songs/nearly-home/arrange?stage=pinches&count=1",
    "/songs/the-patient-clockmaker/arrange?stage=pinches&count=1",
    "/songs/six-geese-crossing/arrange?stage=pinches&count=1",
    "/songs/turning-for-home/arrange?count=1",
]


@pytest.mark.parametrize("path", PINCHES)
def test_letters_of_fingers_and_counts_never_overlap(windows, path):
    page = windows.open(path)
    assert page.locator(".music .hand").count() > 0
    assert page.evaluate(OVERLAPS) == []


def test_a_pinch_has_its_letters_below_each_other(windows):
    page = windows.open("/songs/nearly-home/arrange?stage=pinches")
    stacked = page.evaluate(
        """() => [...document.querySelectorAll("#after ~ figure .tabGrp")]
             .map((group) => [...group.querySelectorAll(".hand")].map((text) => text.getBBox()))
             .filter((boxes) => boxes.length > 1)
             .map((boxes) => boxes.every((box, n) => n === 0 || box.y > boxes[n - 1].y))"""
    )
    assert stacked
    assert all(stacked)
