"""How good matches are, in words: scores, chance levels, likely coincidences."""

from melodex.model.results.coincidence import is_likely_coincidence

LIKELY_COINCIDENCE = "likely coincidence"
NO_BETTER_THAN_CHANCE = "No match is better than what chance would bring"
ONLY_COINCIDENCES = f"{NO_BETTER_THAN_CHANCE}; all of these are {LIKELY_COINCIDENCE}."
NO_LEGAL_OPINION = (
    "A score says how much notes resemble each other, not that anybody copied: "
    "it is no legal opinion."
)
LEAST_TOLD = 0.001  # fewer chance matches than one in a thousand are as good as none
MOST_WITH_A_FRACTION = 10
HIGHEST_BELOW_ONE = "0.99"


def score_in_digits(score: float | None) -> str:
    """Write a score with two digits; "1.00" is an exact match alone.

    Examples
    --------
    >>> score_in_digits(1.0), score_in_digits(0.9989), score_in_digits(0.846)
    ('1.00', '0.99', '0.85')
    >>> score_in_digits(None)
    'unknown'
    """
    if score is None:
        return "unknown"
    rounded = f"{score:.2f}"
    return HIGHEST_BELOW_ONE if score < 1 and rounded == "1.00" else rounded


def chance_in_words(expected: float | None) -> str:
    """Return how many such matches are expected by chance, as text.

    Examples
    --------
    >>> chance_in_words(None), chance_in_words(3.25e-7), chance_in_words(0.034)
    ('unknown', 'under 0.001', '0.034')
    >>> chance_in_words(87.4)
    '87'
    """
    if expected is None:
        return "unknown"
    if expected < LEAST_TOLD:
        return f"under {LEAST_TOLD:g}"
    return f"{expected:.2g}" if expected < MOST_WITH_A_FRACTION else f"{expected:.0f}"


def coincidence_in_words(expected: float | None) -> str:
    """Return the words that mark a likely coincidence; an empty text for any other match.

    Examples
    --------
    >>> coincidence_in_words(3.2), coincidence_in_words(0.5), coincidence_in_words(None)
    ('likely coincidence', '', '')
    """
    return LIKELY_COINCIDENCE if is_likely_coincidence(expected) else ""


def left_out_in_words(found: int, left_out: int, what: str) -> str:
    """Return how many matches a report leaves out and why; an empty text if none.

    Parameters
    ----------
    what : str
        The matches, as a plural.

    Examples
    --------
    >>> print(left_out_in_words(9, 4, "pairs"))
    Left out as likely coincidence: 4 of 9 pairs. Chance alone would bring more than one as good.
    >>> print(left_out_in_words(3, 3, "pairs"))
    No match is better than what chance would bring. Left out as likely coincidence: 3 of 3 pairs.
    >>> left_out_in_words(3, 0, "pairs")
    ''
    """
    if not left_out:
        return ""
    counted = f"Left out as {LIKELY_COINCIDENCE}: {left_out} of {found} {what}."
    if left_out == found:
        return f"{NO_BETTER_THAN_CHANCE}. {counted}"
    return f"{counted} Chance alone would bring more than one as good."
