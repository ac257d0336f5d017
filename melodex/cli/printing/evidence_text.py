"""How good matches are, for people: columns of a table, and notices below it."""

from collections.abc import Mapping, Sequence

from melodex.cli.terminal import Row, notice
from melodex.model.results.coincidence import WithChanceLevel, are_only_coincidences
from melodex.report.evidence_words import (
    ONLY_COINCIDENCES,
    chance_in_words,
    coincidence_in_words,
    score_in_digits,
)

SCORE_AND_CHANCE: Mapping[str, str] = {"score #": "score", "by chance #": "by chance"}


def evidence_cells(score: float | None, level: float | None) -> dict[str, object]:
    """Return the cells of a row that say how good a match is: score, chance level and remark."""
    return {
        "score": score_in_digits(score),
        "by chance": chance_in_words(level),
        "remark": coincidence_in_words(level),
    }


def remark_column(rows: Sequence[Row]) -> dict[str, str]:
    """Return the column that marks likely coincidences; none if no row has a mark."""
    return {"remark": "remark"} if any(row["remark"] for row in rows) else {}


def notice_if_only_coincidences(found: Sequence[WithChanceLevel]) -> None:
    """Print on standard error that no match is better than chance, if none is."""
    if are_only_coincidences(found):
        notice(ONLY_COINCIDENCES)
