"""Show a song of the catalogue as five-string tab, and write it to a file."""

from dataclasses import replace
from pathlib import Path

from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.fingering_settings import DOWN_THE_NECK, UP_THE_NECK
from melodex.banjo.written_tab import written_tab
from melodex.errors import MelodexError
from melodex.features.rolls import NO_ROLL, rolls_of
from melodex.finder.written_files import TAB_FILE, TAB_TEXT
from melodex.index.store import Catalogue
from melodex.model.tablature import Tab
from melodex.model.tuning import OPEN_G, BanjoTuning
from melodex.report.tab_musicxml import tab_musicxml
from melodex.report.tab_text import tab_text
from melodex.report.words import measures_in_words


def tab_of_song(
    catalogue: Catalogue,
    song: str,
    *,
    measures: tuple[int, int] | None = None,
    tuning: BanjoTuning | None = None,
    up_the_neck: bool = False,
    octaves: int = 0,
) -> Tab:
    """Return a song as tab: its own where its source gives strings and frets, else fingered.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    measures : (int, int) or None
        First and last that have to lie on the neck; None for all.
    tuning : BanjoTuning or None
        None: the song's own, else open G. With a tuning, up the neck or moved by octaves it is
        fingered anew.
    up_the_neck : bool
        Whether to play around the ninth fret instead of near the nut.
    octaves : int
        Octaves to move the song by.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    MelodyError
        If the song does not lie on the neck; it names the measure and a way on.
    """
    found = catalogue.song(catalogue.resolve(song))
    is_as_written = tuning is None and not (up_the_neck or octaves)
    tab = written_tab(found) if is_as_written else None
    if tab is not None:
        return replace(tab, remarks=(*tab.remarks, *_rolls_told(tab)))
    costs = UP_THE_NECK if up_the_neck else DOWN_THE_NECK
    return fingered_tab(found, tuning or OPEN_G, costs, octaves=octaves, measures=measures)


def _rolls_told(tab: Tab) -> list[str]:
    """Say which measures have which roll, in a sentence each."""
    measures_of_roll: dict[str, list[int]] = {}
    for measure, roll in rolls_of(tab).items():
        measures_of_roll.setdefault(roll, []).append(measure)
    measures_of_roll.pop(NO_ROLL, None)
    return [
        f"Roll: {roll} in {measures_in_words(measures).replace(', then', ',')}."
        for roll, measures in measures_of_roll.items()
    ]


def write_tab(tab: Tab, path: Path, *, measures: tuple[int, int] | None = None) -> None:
    """Write a tab to a file: text for .tab and .txt, MusicXML for .musicxml and .xml.

    Raises
    ------
    QueryError
        If the suffix is another, or the song has none of the measures.
    MelodexError
        If the file cannot be written.
    """
    TAB_FILE.check(path)
    if path.suffix.lower() in TAB_TEXT:
        content = "\n".join([*tab_text(tab, measures), ""]).encode()
    else:
        content = tab_musicxml(tab, measures)
    try:
        path.write_bytes(content)
    except OSError as error:
        raise MelodexError(
            f"{path} cannot be written: {error.strerror}.", "name a file in a folder of your own."
        ) from error
