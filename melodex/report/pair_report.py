"""The phrases that two songs share as a report: marked in both, engraved and heard."""

from typing import NamedTuple

from markupsafe import Markup

from melodex.engraving.engrave_song import Look, PhraseMark, engrave
from melodex.model.results.phrase import SharedMaterial, SharedPhrase
from melodex.notation.measure_names import half_steps_in_words, measures_in_words
from melodex.report.evidence_words import left_out_in_words
from melodex.report.figures import (
    Figure,
    ShownSong,
    answering_player,
    figure_of,
    song_figure,
)
from melodex.report.html_page import html_page
from melodex.report.phrase_marks import marks_of, phrase_letter


class PhraseRow(NamedTuple):
    """A phrase and its two places."""

    letter: str
    phrase: SharedPhrase
    places: tuple[str, str]
    key_change: str
    figures: tuple[Figure, Figure]
    player: Markup | None


def pair_report(
    one: ShownSong, other: ShownSong, shared: SharedMaterial, *, left_out: int = 0
) -> str:
    """Write what two songs share as one HTML file.

    Parameters
    ----------
    one, other : ShownSong
        The same for the phrases that one song repeats.
    left_out : int
        How many other phrases they share that are left out as likely coincidence.
    """
    marks = [
        marks_of(
            one.song,
            other.song,
            alignment,
            transposition=phrase.transposition,
            letter=phrase_letter(number),
        )
        for number, (phrase, alignment) in enumerate(
            zip(shared.phrases, shared.alignments, strict=True)
        )
    ]
    return html_page(
        "printed_pair.html",
        title=f"What {one.song.title} and {other.song.title} share",
        rows=[_row(one, other, shared, number, pair) for number, pair in enumerate(marks)],
        left_out=left_out_in_words(len(shared.phrases) + left_out, left_out, "phrases"),
        shares=list(dict.fromkeys((shared.share_a, shared.share_b))),
        songs=[
            (
                shown.song.title,
                song_figure(
                    shown, "The whole song", prefix=prefix, marks=[pair[place] for pair in marks]
                ),
            )
            for place, (prefix, shown) in enumerate((("first", one), ("second", other)))
        ],
        remarks=list(dict.fromkeys((*one.remarks, *other.remarks))),
    )


def _row(
    one: ShownSong,
    other: ShownSong,
    shared: SharedMaterial,
    number: int,
    marks: tuple[PhraseMark, PhraseMark],
) -> PhraseRow:
    phrase = shared.phrases[number]
    spans = (
        (phrase.first_measure_a, phrase.last_measure_a),
        (phrase.first_measure_b, phrase.last_measure_b),
    )
    engravings = [
        engrave(
            shown.song,
            tab=shown.tab,
            measures=span,
            marks=[mark],
            look=Look(f"phrase-{number}-{place}", shown.count),
        )
        for place, (shown, span, mark) in enumerate(zip((one, other), spans, marks, strict=True))
    ]
    first, second = engravings
    places = tuple(measures_in_words(range(begin, end + 1)) for begin, end in spans)
    return PhraseRow(
        letter=marks[0].letter,
        phrase=phrase,
        places=(places[0], places[1]),
        key_change=half_steps_in_words(phrase.transposition),
        figures=(
            figure_of(first, f"{one.song.title}, {places[0]}"),
            figure_of(second, f"{other.song.title}, {places[1]}"),
        ),
        player=answering_player(
            f"phrase {marks[0].letter} in both songs",
            (one.song, other.song),
            (first, second),
            shared.alignments[number][0],
            phrase.transposition,
        ),
    )
