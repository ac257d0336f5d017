"""Counting the beats of a measure aloud: "1 & 2 &"."""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from melodex.model.song import Song
from melodex.notation.metre_weights import MetreBeats
from melodex.notation.tab_measures import MeasureSpan, TabMeasure
from melodex.notation.written_measures import EngravedMeasure, engraved_measures

_MOST_COUNTED = 9  # pulses; in longer measures only the beats are numbered
_BETWEEN = ("&", "a")  # for the pulses of a beat after its first


class Count(NamedTuple):
    """One word of the count."""

    place: Fraction  # quarter notes from the bar line
    word: str


def counts_of(song: Song, measures: Sequence[TabMeasure]) -> Mapping[Fraction, tuple[Count, ...]]:
    """Return the words of each measure's count, by its onset; free metre has no count.

    Beats are numbered and halved, "1 & 2 &"; in 6/8 and similar metres the eighths are numbered, in
    12/8 the beats, "1 & a 2 & a". A pickup is counted as the end of a measure. Common practice, no
    source.
    """
    spans = [MeasureSpan(measure.number, measure.onset, measure.end) for measure in measures]
    return {
        measure.span.onset: tuple(counts_in(measure)) for measure in engraved_measures(song, spans)
    }


def counts_in(measure: EngravedMeasure) -> Iterator[Count]:
    """Yield the words of one measure, as in ``counts_of``."""
    for place, word in _words(measure.beats):
        from_bar_line = place - measure.place
        if 0 <= from_bar_line < measure.span.length:
            yield Count(from_bar_line, word)


def _words(beats: MetreBeats) -> Iterator[Count]:
    """Yield the words of a full measure."""
    if not beats.is_grouped:
        for number, start in enumerate(beats.starts, start=1):
            yield Count(start, str(number))
            yield Count(start + beats.pulse / 2, _BETWEEN[0])
        return
    pulses = int(beats.length / beats.pulse)
    if pulses <= _MOST_COUNTED:
        yield from (Count(pulse * beats.pulse, str(pulse + 1)) for pulse in range(pulses))
        return
    ends = [*beats.starts[1:], beats.length]
    for number, (start, end) in enumerate(zip(beats.starts, ends, strict=True), start=1):
        for pulse in range(int((end - start) / beats.pulse)):
            word = _BETWEEN[min(pulse, len(_BETWEEN)) - 1] if pulse else str(number)
            yield Count(start + pulse * beats.pulse, word)
