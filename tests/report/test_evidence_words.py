"""Scores and chance levels as people read them."""

from hypothesis import given
from hypothesis import strategies as st

from melodex.report.evidence_words import coincidence_in_words, score_in_digits


@given(score=st.floats(0, 1, exclude_max=True))
def test_only_an_exact_match_is_shown_as_1(score):
    shown = score_in_digits(score)
    assert float(shown) <= 0.99
    assert abs(float(shown) - score) <= 0.01
    assert score_in_digits(1.0) == "1.00"


@given(one=st.floats(0, 1), other=st.floats(0, 1))
def test_shown_scores_stand_in_the_order_of_the_scores(one, other):
    lower, higher = sorted((one, other))
    assert float(score_in_digits(lower)) <= float(score_in_digits(higher))


def test_an_unknown_score_is_shown_as_unknown():
    assert score_in_digits(None) == "unknown"


def test_a_coincidence_is_called_so_in_words():
    assert [coincidence_in_words(level) for level in (1.2, 0.8, None)] == [
        "likely coincidence", "", "",
    ]  # fmt: skip
