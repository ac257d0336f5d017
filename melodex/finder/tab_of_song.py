"""Show a song of the catalogue as five-string tab, and write it to a file."""

from dataclasses import replace

from melodex.banjo.cautions import cautions_of, with_cautions
from melodex.banjo.fingered_tab import fingered_tab
from melodex.banjo.fingering_settings import DOWN_THE_NECK, UP_THE_NECK
from melodex.errors import MelodexError
from melodex.features.melody_in_rolls import with_melody_marked
from melodex.features.playing.rolls import NO_ROLL, rolls_of
from melodex.features.written_tab import written_tab
from melodex.finder.written_files import TAB_FILE, TAB_TEXT
from melodex.index.store import Catalogue
from melodex.model.tablature import Tab
from melodex.model.tuning import OPEN_G, BanjoTuning, tuning_named
from melodex.notation.measure_names import measures_in_words
from melodex.parsing.given_path import FilePath, path_of
from melodex.parsing.measure_range import MeasureRange, measure_range
from melodex.tab_files.tab_losses import left_out_of_musicxml, left_out_of_text
from melodex.tab_files.tab_musicxml import tab_musicxml
from melodex.tab_files.tab_text import tab_text as tab_lines
from melodex.whole_files import written_whole


def tab_of_song(
    catalogue: Catalogue,
    song: str,
    *,
    measures: MeasureRange | None = None,
    tuning: BanjoTuning | str | None = None,
    up_the_neck: bool = False,
    octaves: int | None = None,
) -> Tab:
    """Return a song as tab: its own where its source gives strings and frets, else fingered.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    measures : (int, int), int, str or None
        Those that must lie on the neck, ``(1, 8)`` or "1-8"; None for all.
    tuning : str, BanjoTuning or None
        A name, "double C", or five notes, "gCGCD"; with a capo ``tuning_named("open G", capo=2)``.
        None: the song's own, else open G. If a tuning, ``up_the_neck`` or octaves are given, the
        song is fingered again.
    up_the_neck : bool
        Whether to play around the ninth fret instead of near the nut.
    octaves : int or None
        Octaves to move the song up by from where it is written, -1 for one down; None: to the
        octave nearest the nut.

    Returns
    -------
    Tab
        For ``tab_text`` and ``write_tab``. ``notes`` have ``onset`` and ``duration`` (quarter
        notes), ``string`` (1 to 5), ``fret``, ``left_hand`` and ``finger``; ``remarks`` are
        sentences on what was assumed or moved, ``cautions`` on where it strains the hands.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    MelodyError
        If the song does not lie on the neck; it names the measure and what to do.
    QueryError
        If there is no such tuning.

    Examples
    --------
    ::

        tab = melodex.tab_of_song(catalogue, "Cinder Path", tuning="double C")
        print(melodex.tab_text(tab, measures=(1, 4)))
    """
    if isinstance(tuning, str):
        tuning = tuning_named(tuning)
    found = catalogue.song(catalogue.resolve(song))
    is_as_written = tuning is None and not (up_the_neck or octaves)
    tab = written_tab(found) if is_as_written else None
    if tab is not None:
        remarks = (*tab.remarks, *_roll_remarks(tab), *_capo_remarks(tab))
        return with_cautions(with_melody_marked(replace(tab, remarks=remarks)))
    costs = UP_THE_NECK if up_the_neck else DOWN_THE_NECK
    tab = fingered_tab(found, tuning or OPEN_G, costs, octaves=octaves, measures=_chosen(measures))
    return replace(tab, remarks=(*tab.remarks, *_capo_remarks(tab)))


def _chosen(measures: MeasureRange | None) -> tuple[int, int] | None:
    return None if measures is None else measure_range(measures)


def _roll_remarks(tab: Tab) -> list[str]:
    """Return a sentence for each roll on the measures that have it."""
    measures_of_roll: dict[str, list[int]] = {}
    for measure, roll in rolls_of(tab).items():
        measures_of_roll.setdefault(roll, []).append(measure)
    measures_of_roll.pop(NO_ROLL, None)
    return [
        f"Roll: {roll} in {measures_in_words(measures).replace(', then', ',')}."
        for roll, measures in measures_of_roll.items()
    ]


def _capo_remarks(tab: Tab) -> list[str]:
    if not (tab.tuning.capo and tab.song.chords):
        return []
    return [f"Chords are named by their shapes behind the capo at fret {tab.tuning.capo}."]


def tab_text(tab: Tab, measures: MeasureRange | None = None, *, count: bool = False) -> str:
    """Return a tab as text: five lines a system, string 1 on top, which `add` reads again.

    Parameters
    ----------
    tab : Tab
        From ``tab_of_song``, ``arrange_song`` or ``song_with_lick``.
    measures : (int, int), int, str or None
        First and last, as written, ``(1, 8)`` or "1-8"; a pickup is 0; None for all.
    count : bool
        Whether a line below counts the beats, "1 & 2 &".

    Raises
    ------
    QueryError
        If the song has none of the measures.

    Examples
    --------
    ::

        print(melodex.tab_text(melodex.tab_of_song(catalogue, "Cinder Path"), (1, 2)))
    """
    return "\n".join(tab_lines(tab, _chosen(measures), count=count))


def tab_file(
    tab: Tab, suffix: str, *, measures: MeasureRange | None = None, count: bool = False
) -> bytes:
    """Return what ``write_tab`` writes to a file whose name ends in a suffix, ".tab" or the like.

    Raises
    ------
    QueryError
        If the song has none of the measures.
    """
    tab = with_cautions(tab, _chosen(measures))
    if suffix.lower() in TAB_TEXT:
        cautions = [f"Caution: {caution}" for caution in tab.cautions]
        return "\n".join([tab_text(tab, measures, count=count), *cautions, ""]).encode()
    return tab_musicxml(tab, _chosen(measures))


def write_tab(
    tab: Tab, path: FilePath, *, measures: MeasureRange | None = None, count: bool = False
) -> None:
    """Write a tab to a file: text for .tab and .txt, MusicXML for .musicxml and .xml.

    Parameters
    ----------
    tab : Tab
        From ``tab_of_song``, ``arrange_song`` or ``song_with_lick``.
    path : str or path
        The file to write; one of that name is replaced.
    measures : (int, int), int, str or None
        First and last, as written, ``(1, 8)`` or "1-8"; a pickup is 0; None for all.
    count : bool
        Whether text has a line that counts the beats, "1 & 2 &".

    Raises
    ------
    QueryError
        If the suffix is not one of these, or the song has none of the measures.
    MelodexError
        If the file cannot be written.

    Examples
    --------
    ::

        melodex.write_tab(melodex.tab_of_song(catalogue, "Cinder Path"), folder / "path.musicxml")
    """
    path = path_of(path)
    TAB_FILE.check(path)
    content = tab_file(tab, path.suffix, measures=measures, count=count)
    try:
        with written_whole(path) as part:
            part.write_bytes(content)
    except OSError as error:
        raise MelodexError(
            f"{path} cannot be written: {error.strerror}.", "name a file in a folder of your own."
        ) from error


def cautions_in(tab: Tab, measures: tuple[int, int] | None) -> list[str]:
    """Return where a tab strains the hands in some measures, a sentence each; None for all."""
    return cautions_of(tab, measures)


def left_out_of_file(tab: Tab, suffix: str) -> list[str]:
    """Return what of a tab's song a file of a suffix cannot hold, a sentence each."""
    is_text = suffix.lower() in TAB_TEXT
    return left_out_of_text(tab.song) if is_text else left_out_of_musicxml(tab.song)
