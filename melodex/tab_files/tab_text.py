"""Write tab as plain text: five lines a system, which `melodex add` can read again."""

from collections.abc import Sequence
from fractions import Fraction

from melodex.model.metre import Metre
from melodex.model.tablature import Tab
from melodex.notation.counting import counts_of
from melodex.notation.tab_measures import measures_of_tab, metre_at
from melodex.tab_files.tab_fingers import MELODY_SIGN
from melodex.tab_files.text_grid import grid_of
from melodex.tab_files.text_measure import NO_COUNTS
from melodex.tab_files.text_systems import lines_of_system, lines_that_fit, systems_of

START = Fraction(0)
MELODY_LEGEND = f"The melody's notes have a {MELODY_SIGN} below."


def tab_text(
    tab: Tab, measures: tuple[int, int] | None = None, *, count: bool = False
) -> list[str]:
    """Return a tab as lines of text.

    Parameters
    ----------
    measures : (int, int) or None
        First and last number as written; None for all.
    count : bool
        Whether to count the beats in a line below, "1 & 2 &".

    Returns
    -------
    list of str
        A heading that explains the tab, then systems. Above the five lines (string 1 on top) are
        chord symbols and measure numbers; below them the right hand's fingers if known, those of a
        pinch in one column, string 1 first (a point is an unknown finger; the last letter also
        applies to the strings after it); then a sign for each melody note, below an apostrophe for
        each note on a higher string that sounds with it. The spacing of a system depends on its
        shortest note; changes of spacing or metre are stated. A repeat played more than twice ends
        its line, followed by "x3".

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    chosen = measures_of_tab(tab, measures)
    counts = counts_of(tab.song, chosen) if count else NO_COUNTS
    metre = _metre_line(metre_at(tab.song, chosen[0].onset))
    lines = tab_heading(tab, chosen[0].onset)
    if any(note.is_melody for measure in chosen for note in measure.notes):
        lines.append(MELODY_LEGEND)
    spacing = ""
    for grid, system in systems_of(tab, chosen):
        metre_here = _metre_line(metre_at(tab.song, system[0].onset))
        changed = [metre_here] * (metre_here != metre) + [grid.stated] * (grid.stated != spacing)
        lines += ["", *changed] if spacing and changed else changed
        metre, spacing = metre_here, grid.stated
        lines += lines_of_system(tab, system, grid, counts)
    return lines


def tabs_to_compare(
    tabs: Sequence[Tab], measures: tuple[int, int], *, count: bool = False
) -> list[list[str]]:
    """Return the same measures of several tabs, without headings and with equal spacing.

    Parameters
    ----------
    count : bool
        As for ``tab_text``.

    Raises
    ------
    QueryError
        If a song has none of these measures.
    """
    chosen = [measures_of_tab(tab, measures) for tab in tabs]
    grid = grid_of([measure for each in chosen for measure in each])
    return [
        [
            line
            for system in lines_that_fit(tab, each, lambda _: grid)
            for line in lines_of_system(
                tab, system, grid, counts_of(tab.song, each) if count else NO_COUNTS
            )
        ][1:]
        for tab, each in zip(tabs, chosen, strict=True)
    ]


def _metre_line(metre: Metre) -> str:
    beats = "+".join(map(str, metre.groups)) or metre.numerator
    return "Metre: " + ("free" if metre.is_free else f"{beats}/{metre.denominator}")


def tab_heading(tab: Tab, onset: Fraction = START) -> list[str]:
    """Return the lines above a tab: titles, tuning, capo, key, metre and tempo.

    Parameters
    ----------
    onset : Fraction
        Where the tab begins, in quarter notes; the metre there is stated.
    """
    song, tuning = tab.song, tab.tuning
    lines = [f"Title: {title}" for title in (song.title, *song.other_titles)]
    lines.append(f"Tuning: {tuning.name} ({tuning})")
    if tuning.capo:
        lines.append(f"Capo: {tuning.capo}")
    if song.key and song.key.tonic and song.key.mode:
        lines.append(f"Key: {song.key}")
    lines.append(_metre_line(metre_at(song, onset)))
    if song.tempo:
        lines.append(f"Tempo: {song.tempo:g}")
    return lines
