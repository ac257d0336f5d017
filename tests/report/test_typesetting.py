"""Ranges of measures in print."""

import html

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.report.typesetting import typeset


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("<li>measures 7-8, then 1-2 are new</li>", "<li>measures 7–8, then 1–2 are new</li>"),
        ("<h3>1. Measures 1-2, fit 0.5</h3>", "<h3>1. Measures 1–2, fit 0.5</h3>"),
        ("<td>44 % known</td>", "<td>44\N{NO-BREAK SPACE}% known</td>"),
        ("<td>beats 2-3</td>", "<td>beats 2–3</td>"),
        ('<a title="measures 1-2">Old Mill</a>', '<a title="measures 1-2">Old Mill</a>'),
        ("<option>Mill, measures 1-2</option>", "<option>Mill, measures 1-2</option>"),
        ("<textarea>measures 1-2</textarea>", "<textarea>measures 1-2</textarea>"),
        ("<script>'measures 1-2' < 3</script>", "<script>'measures 1-2' < 3</script>"),
        ("<td>2027-01-11, level 1-3</td>", "<td>2027-01-11, level 1-3</td>"),
    ],
)
def test_ranges_in_prose_have_en_dashes_and_nothing_else_has(written, printed):
    assert typeset(written).replace("\N{WORD JOINER}", "") == printed


@given(text=st.text("ab <>&-0123456789", max_size=60))
def test_text_that_names_no_measures_stays_as_it_is(text):
    page = f"<p>{html.escape(text)}</p><!-- {html.escape(text)} -->"
    assert typeset(page) == page
