"""Five-line text tab, as players type it, to a song."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from pathlib import Path

from melodex.errors import QueryError, ScoreParseError
from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.model.metre import Metre
from melodex.model.reading import Reading
from melodex.model.song import BarLine, MetreChange, Source
from melodex.model.tuning import OPEN_G, BanjoTuning, tuning_named
from melodex.parsing.repeats import RepeatMark
from melodex.parsing.tab.tab_lines import TabMeasure, TypedTab, take_apart
from melodex.parsing.tab.tab_measure import TypedNote, typed_notes
from melodex.parsing.tab.tab_spacing import (
    Spacing,
    metre_of_length,
    spacing_of,
    stated_spacing,
    usual_length,
)
from melodex.parsing.written_score import WrittenMeasure, WrittenNote, WrittenScore, song_of

_METRE = re.compile(r"(\d{1,2})/(1|2|4|8|16)")
_KEY = re.compile(r"([A-G][#b]?)\s*([a-z]*)", re.IGNORECASE)


def read_text_tab(text: str, file: str, collection: str) -> Reading:
    """Read a text tab, one song.

    Parameters
    ----------
    text : str
        Headings such as "Tuning: open G", "Capo: 2", "Metre: 4/4", "Key: G major" and
        "Spacing: 2 characters = 1/8", all optional, and groups of five lines, string 1 on top.
    file : str
        Its name, as the song will give it.

    Raises
    ------
    ScoreParseError
        If there is no tab in it, or the tab is ragged; it names the line and the measure.

    Notes
    -----
    What is not stated is assumed, and the song's remarks say so: open G, no capo, and even
    eighths, a step twice as wide being a quarter note. A note lasts until the next one or the bar
    line.
    """
    shown = Path(file)
    typed = take_apart(text, shown)
    tuning = _tuning(typed, shown)
    measures = [
        typed_notes(measure, number, tuning, shown)
        for number, measure in enumerate(typed.measures, start=1)
    ]
    stated_metre = _stated_metre(typed, shown)
    spacings = _spacings(typed, measures, stated_metre, shown)
    lengths = [
        spacing.length(len(measure.strings[0]))
        for measure, spacing in zip(typed.measures, spacings, strict=True)
    ]
    metre = stated_metre or metre_of_length(usual_length(lengths))
    onsets = list(accumulate(lengths, initial=0.0))
    layout = _Layout(spacings, onsets, tuning, shown)
    bar_lines, repeats = layout.repeats(typed.measures)
    score = WrittenScore(
        notes=[
            note
            for number, notes in enumerate(measures, start=1)
            for note in layout.notes(notes, number)
        ],
        measures=[WrittenMeasure(onset, None) for onset in onsets[:-1]],
        end=onsets[-1],
        metres=[MetreChange(0.0, metre)],
        key=_key(typed.headings.get("key", "")),
        bar_lines=bar_lines,
        repeat_marks=repeats,
        tuning=tuning.open_strings,
        remarks=_assumptions(typed, spacings[0], metre),
    )
    titles = [typed.headings["title"]] if typed.headings.get("title") else []
    return Reading((song_of(score, titles, Source(file), collection),), ())


def _tuning(typed: TypedTab, shown: Path) -> BanjoTuning:
    labels = "".join(reversed(typed.labels))
    capo = typed.headings.get("capo", "0")
    try:
        name = typed.headings.get("tuning") or labels or OPEN_G.name
        # "open G (gDGBD)": the name will do.
        return tuning_named(name.partition("(")[0], capo=_whole_number(capo))
    except QueryError as error:
        problem = error.problem.rstrip(".")
        reason = f"{problem[0].lower()}{problem[1:]}; {error.next_step.rstrip('.')}"
        raise ScoreParseError(shown, reason=reason) from error


def _whole_number(text: str) -> int:
    """Return a number of one or two digits; -1, which no capo is at, for anything else."""
    return int(text) if re.fullmatch(r"[0-9]{1,2}", text) else -1


def _stated_metre(typed: TypedTab, shown: Path) -> Metre | None:
    text = typed.headings.get("metre", "")
    match = _METRE.fullmatch(text)
    if text and (match is None or not int(match[1])):
        raise ScoreParseError(
            shown, reason=f"'{text}' is no metre; write 4/4, 3/4, 6/8 or the like"
        )
    return Metre(int(match[1]), int(match[2])) if match else None


def _spacings(
    typed: TypedTab, measures: Sequence[Sequence[TypedNote]], metre: Metre | None, shown: Path
) -> list[Spacing]:
    """Return the spacing of each measure: as stated last above it, else as it is typed."""
    first = typed.headings.get("spacing")
    if first is None:
        widths = [len(measure.strings[0]) for measure in typed.measures]
        return [spacing_of(measures, widths, metre)] * len(measures)
    return [_stated_spacing(measure.spacing or first, shown) for measure in typed.measures]


def _stated_spacing(text: str, shown: Path) -> Spacing:
    stated = stated_spacing(text)
    if stated is None:
        reason = f"the spacing '{text}' cannot be read; write it as '2 characters = 1/8'"
        raise ScoreParseError(shown, reason=reason)
    return stated


def _key(text: str) -> Key | None:
    match = _KEY.match(text)
    mode = (match[2] or "major").lower() if match else ""
    if match is None or mode not in SHARPS_OF_MODE:
        return None
    tonic = match[1][0].upper() + match[1][1:]
    return Key(tonic, mode, signature_of(tonic, mode))


def _assumptions(typed: TypedTab, spacing: Spacing, metre: Metre) -> list[str]:
    remarks: list[str] = []
    if not spacing.is_stated:
        value = round(4 / spacing.unit)
        remarks.append(
            f"Note values are not stated: {spacing.characters} characters were read as 1/{value}, "
            f"the metre as {metre}. To change that, write above the tab, for instance, "
            f"'Spacing: {spacing.characters} characters = 1/16'."
        )
    if not typed.labels and "tuning" not in typed.headings:
        remarks.append(f"No tuning is stated: it was read in {OPEN_G.name} ({OPEN_G}).")
    return remarks


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where the measures lie in time."""

    spacings: Sequence[Spacing]  # one for each measure
    onsets: Sequence[float]  # quarter notes from the start to each measure, and to the end
    tuning: BanjoTuning
    shown: Path

    def notes(self, typed: Sequence[TypedNote], number: int) -> list[WrittenNote]:
        """Give the notes of a measure their time and pitch."""
        spacing = self.spacings[number - 1]
        columns = sorted({note.column for note in typed})
        places = [spacing.place(column) for column in columns]
        if any(later <= earlier for earlier, later in pairwise(places)):
            reason = f"measure {number} has notes too close together; space its frets evenly"
            raise ScoreParseError(self.shown, reason=reason)
        start, end = self.onsets[number - 1 : number + 1]
        place_of = dict(zip(columns, places, strict=True))
        end_of = dict(zip(columns, [*places, end - start][1:], strict=True))
        return [
            WrittenNote(
                onset=start + place_of[note.column],
                duration=max(end_of[note.column] - place_of[note.column], spacing.unit / 2),
                pitch=self.tuning.pitch(note.string, note.fret),
                string=note.string,
                fret=note.fret,
                left_hand=note.left_hand,
            )
            for note in typed
        ]

    def repeats(self, measures: Sequence[TabMeasure]) -> tuple[list[BarLine], list[RepeatMark]]:
        """List the repeat signs, two at one bar line as one."""
        bounds = list(zip(pairwise(self.onsets), measures, strict=True))
        starts = {onset for (onset, _), measure in bounds if measure.starts_repeat}
        ends = {end for (_, end), measure in bounds if measure.ends_repeat}
        marks = [
            RepeatMark(onset, times=2 * (onset in ends), starts=onset in starts)
            for onset in sorted(starts | ends)
        ]
        styles = {(True, True): "repeat both", (True, False): "repeat start"}
        lines = [
            BarLine(onset, styles.get((onset in starts, onset in ends), "repeat end"))
            for onset in sorted(starts | ends)
        ]
        return lines, marks
