"""Bar lines of Humdrum: where measures begin, repeats, and how each line is drawn."""

import re
from collections.abc import Iterable, Iterator, Mapping

from melodex.model.song import BarLine
from melodex.parsing.kern.kern_tandems import Event
from melodex.parsing.repeats import RepeatMark
from melodex.parsing.written_score import WrittenMeasure

# Source: the reference of the **kern representation, "Barlines" and "Signifiers": "=" and the
# measure's number, with a letter where a measure is divided; then its appearance: "|" a thin line,
# "!" a thick one, ":" dots, "-" nothing. "==" is a double bar line.
_NUMBER = re.compile(r"(?<!=)=+(\d{1,6})(?![\da-z])")
_STARTS_REPEAT, _ENDS_REPEAT = re.compile(r"[|!]:|::"), re.compile(r":[|!=]|::")
_IS_PLAIN = re.compile(r"=\d*-?")
_HAS_NO_STYLE = re.compile(r"[-'`]")  # invisible, or a short stroke
_IS_DOUBLE, _IS_FINAL = re.compile(r"==|\|\|"), re.compile(r"\|!")


def bars_by_onset(tokens: Iterable[Event]) -> dict[float, str]:
    """Combine bar lines at the same onset (in quarter notes), sorted by time."""
    bars: dict[float, list[str]] = {}
    for onset, _, token in tokens:
        bars.setdefault(onset, []).append(token)
    return {onset: " ".join(together) for onset, together in bars.items()}


def measures_between(bars: Mapping[float, str]) -> list[WrittenMeasure]:
    """List the measures that begin at the bar lines.

    Music before the first bar line is a measure too. If it has no number, it gets one less than the
    first number written, so that a pickup to measure 1 is measure 0.
    """
    measures = [WrittenMeasure(onset, _number(token)) for onset, token in bars.items()]
    if 0.0 not in bars:
        measures.insert(0, WrittenMeasure(0.0, None))
    numbers = (measure.number for measure in measures if measure.number is not None)
    first = next(numbers, None)
    if measures[0].number is None and first:
        measures[0] = WrittenMeasure(0.0, first - 1)
    return measures


def _number(token: str) -> int | None:
    number = _NUMBER.search(token)
    return int(number[1]) if number else None


def repeat_marks(bars: Mapping[float, str]) -> list[RepeatMark]:
    """List the repeat marks, double bars and endings of the bar lines."""
    marks = [
        RepeatMark(
            onset,
            times=2 if onset > 0 and _ENDS_REPEAT.search(token) else 0,
            starts=bool(_STARTS_REPEAT.search(token)),
            divides=_style(onset, token) == "final",
        )
        for onset, token in _more_than_plain(bars)
    ]
    return [mark for mark in marks if mark.times or mark.starts or mark.divides]


def special_bar_lines(bars: Mapping[float, str]) -> list[BarLine]:
    """List all bar lines except single thin ones."""
    lines = [BarLine(onset, _style(onset, token)) for onset, token in _more_than_plain(bars)]
    return [line for line in lines if line.style]


def _more_than_plain(bars: Mapping[float, str]) -> Iterator[tuple[float, str]]:
    return ((onset, token) for onset, token in bars.items() if not _IS_PLAIN.fullmatch(token))


def _style(onset: float, token: str) -> str:
    starts = _STARTS_REPEAT.search(token)
    ends = onset > 0 and _ENDS_REPEAT.search(token)
    if starts or ends:
        return "repeat both" if starts and ends else "repeat start" if starts else "repeat end"
    if onset == 0 or _HAS_NO_STYLE.search(token):
        return ""
    if _IS_DOUBLE.search(token):
        return "double"
    return "final" if _IS_FINAL.search(token) else ""
