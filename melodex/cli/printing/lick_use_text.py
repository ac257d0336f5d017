"""Licks and the songs that teach them, as rows for people."""

from collections.abc import Mapping

from melodex.model.results.audit import LickUse
from melodex.report.audit_words import first_place_in_words

LICK_COLUMNS: Mapping[str, str] = {
    "lick": "lick",
    "quarter notes #": "beats",
    "tunes #": "tunes",
    "songs #": "songs",
    "places #": "places",
    "first in": "first",
}


def lick_row(use: LickUse) -> dict[str, object]:
    """Return the cells of a lick's row."""
    return {
        "lick": use.lick,
        "beats": use.beats,
        "tunes": use.tunes,
        "songs": use.songs,
        "places": use.places,
        "first": first_place_in_words(use),
    }
