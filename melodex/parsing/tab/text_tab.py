"""Read five-line text tab, as players type it."""

import re
from collections.abc import Sequence
from pathlib import Path

from melodex.errors import QueryError, ScoreParseError
from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.model.metre import FREE_METRE, Metre
from melodex.model.reading import Reading
from melodex.model.song import Source
from melodex.model.tuning import OPEN_G, BanjoTuning, tuning_named
from melodex.parsing.metre_text import metre_from_ratios
from melodex.parsing.tab.tab_layout import TabLayout
from melodex.parsing.tab.tab_lines import Heading, TypedTab, split_tab
from melodex.parsing.tab.tab_measure import FretReader, TypedNote
from melodex.parsing.tab.tab_spacing import (
    Spacing,
    metre_of_length,
    spacing_of,
    stated_spacing,
    usual_length,
)
from melodex.parsing.written_score import WrittenScore, song_of

_FREE = "free"
_METRE_SIGNS = {"c": Metre(4, 4), "c|": Metre(2, 2)}  # common and cut time
_KEY = re.compile(r"([A-G][#b]?)\s*([a-z]*)", re.IGNORECASE)


def read_text_tab(text: str, file: str, collection: str) -> Reading:
    """Read a text tab as one song.

    Parameters
    ----------
    text : str
        Headings such as "Tuning: open G", "Capo: 2", "Metre: 4/4", "Tempo: 96" (quarter notes a
        minute), "Key: G major" and "Spacing: 2 characters = 1/8", all optional, and groups of five
        lines, string 1 on top; metre and spacing may change from one group to the next. Above a
        group may be chords, numbers of measures and endings ("[1."), below it the right hand's
        fingers and a "^" under each melody note. "x3" after a group's last bar line states how
        often the repeat that ends there is played.
    file : str
        Its name, as shown by the song.

    Raises
    ------
    ScoreParseError
        If it contains no tab, or the lines are not aligned. The message names the line and measure.

    Notes
    -----
    What is not stated is assumed, with a remark on the song: open G, no capo, and even eighths (a
    step twice as wide is a quarter note). A note lasts until the next one or the bar line. Unknown
    signs are listed in a remark.
    """
    shown = Path(file)
    typed = split_tab(text, shown)
    tuning = _tuning(typed, shown)
    reader = FretReader(tuning, shown)
    frets = [
        [] if measure.is_same else reader.notes(measure, number)
        for number, measure in enumerate(typed.measures, start=1)
    ]
    stated_metres = [_stated_metre(heading, shown) for heading in typed.headings_above("metre")]
    spacings = _spacings(typed, frets, stated_metres[0], shown)
    layout = TabLayout(typed, frets, spacings, tuning, shown)
    usual_metre = metre_of_length(usual_length(layout.lengths))
    metres = layout.metres([metre or usual_metre for metre in stated_metres])
    bar_lines, repeats = layout.repeats()
    score = WrittenScore(
        notes=layout.notes(),
        measures=layout.measures(),
        end=layout.onsets[-1],
        metres=metres,
        key=_key(typed.heading("key").text),
        tempo=_tempo(typed.heading("tempo").text),
        chords=layout.chords(),
        bar_lines=bar_lines,
        repeat_marks=repeats,
        tuning=tuning.open_strings,
        remarks=[
            *_assumptions(typed, spacings[0], metres[0].metre),
            *reader.remarks(),
            *_about_fingers(layout.letters_under_no_note()),
        ],
    )
    return Reading((song_of(score, typed.titles, Source(file), collection),), ())


def _tuning(typed: TypedTab, shown: Path) -> BanjoTuning:
    labels = "".join(reversed(typed.labels))
    capo, named = typed.heading("capo"), typed.heading("tuning")
    try:
        name = named.text or labels or OPEN_G.name
        # "open G (gDGBD)": the name is enough
        return tuning_named(name.partition("(")[0], capo=_whole_number(capo.text or "0"))
    except QueryError as error:
        problem = error.problem.rstrip(".")
        reason = f"{problem[0].lower()}{problem[1:]}; {error.next_step.rstrip('.')}"
        line = capo.line or named.line
        raise ScoreParseError(shown, line=line, reason=reason) from error


def _whole_number(text: str) -> int:
    """Return a number of one or two digits; -1 for anything else, since no capo is at -1."""
    return int(text) if re.fullmatch(r"[0-9]{1,2}", text) else -1


def _stated_metre(heading: Heading, shown: Path) -> Metre | None:
    text = heading.text.lower()
    metre = FREE_METRE if text == _FREE else _METRE_SIGNS.get(text) or metre_from_ratios(text)
    if text and metre is None:
        reason = f"'{heading.text}' is not a metre; write 4/4, 3/4, 6/8, free or the like"
        raise ScoreParseError(shown, line=heading.line, reason=reason)
    return metre


def _spacings(
    typed: TypedTab, frets: Sequence[Sequence[TypedNote]], metre: Metre | None, shown: Path
) -> list[Spacing]:
    """Return the spacing of each measure: as stated last above it, else inferred."""
    first = typed.heading("spacing")
    if first.line is None:
        widths = [len(each.strings[0]) for each in typed.measures if not each.is_same]
        return [spacing_of(frets, widths, metre)] * len(frets)
    return [_stated_spacing(stated, shown) for stated in typed.headings_above("spacing")]


def _stated_spacing(heading: Heading, shown: Path) -> Spacing:
    stated = stated_spacing(heading.text)
    if stated is None:
        reason = f"the spacing '{heading.text}' cannot be read; write it as '2 characters = 1/8'"
        raise ScoreParseError(shown, line=heading.line, reason=reason)
    return stated


def _key(text: str) -> Key | None:
    match = _KEY.match(text)
    mode = (match[2] or "major").lower() if match else ""
    if match is None or mode not in SHARPS_OF_MODE:
        return None
    tonic = match[1][0].upper() + match[1][1:]
    return Key(tonic, mode, signature_of(tonic, mode))


def _tempo(text: str) -> float | None:
    return float(text) if re.fullmatch(r"[1-9][0-9]{0,2}([.][0-9]{1,3})?", text) else None


def _about_fingers(measures: Sequence[int]) -> list[str]:
    if not measures:
        return []
    listed = ", ".join(map(str, measures))
    return [
        "Finger letters that are not under a note were left out: "
        f"measure{'s'[: len(measures) > 1]} {listed}."
    ]


def _assumptions(typed: TypedTab, spacing: Spacing, metre: Metre) -> list[str]:
    remarks: list[str] = []
    if not spacing.is_stated:
        value = round(4 / spacing.unit)
        step = f"{spacing.characters} character{'s'[: spacing.characters > 1]}"
        read_as = f"{step} {'were' if spacing.characters > 1 else 'was'} read as 1/{value}"
        remarks.append(
            f"Note values are not stated: {read_as}, the metre as {metre}. "
            f"To change that, write above the tab, for instance, 'Spacing: {step} = 1/16'."
        )
    if not typed.labels and "tuning" not in typed.headings:
        remarks.append(f"No tuning is stated: it was read in {OPEN_G.name} ({OPEN_G}).")
    return remarks
