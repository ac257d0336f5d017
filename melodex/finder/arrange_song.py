"""Arrange a song of the catalogue in rolls."""

from melodex.banjo.arranger.arranging import arrange
from melodex.banjo.arranger.arranging_stages import FULL, stage_named
from melodex.banjo.arranger.roll_patterns import roll_named
from melodex.banjo.cautions import with_cautions
from melodex.features.melody_in_rolls import with_melody_marked
from melodex.index.store import Catalogue
from melodex.model.tablature import Tab


def arrange_song(
    catalogue: Catalogue,
    song: str,
    *,
    roll: str | None = None,
    stage: str = FULL,
    simple: bool = False,
    up_the_neck: bool = False,
) -> Tab:
    """Arrange a melody for the five-string banjo, in open G.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    roll : str or None
        "forward", "backward", "forward-reverse", "alternating-thumb" or "pinch"; None: in every
        measure the one that suits the melody.
    stage : str
        What to learn first: "melody", the melody alone; "pinches", the melody with pinches between
        its notes; "roll", the melody in one roll throughout; "full", in rolls as they suit, with
        hammer-ons, pull-offs and slides.
    simple : bool
        Without hammer-ons, pull-offs and slides.
    up_the_neck : bool
        From the seventh fret up, with the drone as the only open string.

    Returns
    -------
    Tab
        For ``tab_text`` and ``write_tab``; its ``cautions`` say where it strains the hands.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    QueryError
        If there is no such roll or stage, or the stage has no roll.
    MelodyError
        If the song has no metre or does not lie on the neck.

    Examples
    --------
    ::

        rolled = melodex.arrange_song(catalogue, "Cinder Path", roll="forward")
        print(melodex.tab_text(rolled, measures=(1, 4)))
    """
    chosen = None if roll is None else roll_named(roll)
    wanted = stage_named(stage, chosen)
    plain = catalogue.song(catalogue.resolve(song))
    arranged = arrange(plain, roll=chosen, stage=wanted, simple=simple, up_the_neck=up_the_neck)
    return with_cautions(with_melody_marked(arranged))
