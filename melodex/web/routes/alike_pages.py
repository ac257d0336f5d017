"""The picture of a list of songs: which of them are close to each other as whole melodies."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from starlette.requests import Request
from starlette.responses import Response

from melodex.finder.close_songs import close_songs
from melodex.finder.collection.list_songs import sorted_songs
from melodex.finder.collection.song_labels import song_labels
from melodex.model.results.phrase import ClosePair
from melodex.report.clustering import clustered_order
from melodex.web.form_fields import query_of, songs_meant
from melodex.web.pages import page
from melodex.web.site import site_of

MOST_SONGS = 80  # as many lines as two windows hold
LEAST_SCORE = 0.1  # of an arc, hand-set: a tenth is one phrase of a tune, less is hardly heard
MOST_PAIRS = 40  # drawn and listed, the closest
_WIDEST, _NARROWEST = 96, 16  # of a hundred, how far the arcs of far and near neighbours reach
_THINNEST, _THICKEST = 1.0, 5.0  # pixels, of arcs between songs of score 0 and 1


@dataclass(frozen=True, slots=True)
class ShownPair:
    """Two close songs, with the arc between their lines."""

    pair: ClosePair
    titles: tuple[str, str]
    places: tuple[int, int]  # lines, from 0
    reach: float  # of a hundred
    width: float  # pixels


def alike(request: Request) -> Response:
    """Show which songs of a list are close to each other, as arcs and as a table."""
    fields = query_of(request)
    with site_of(request).searching() as catalogue:
        listed = sorted_songs(catalogue, songs_meant(fields), words=fields.line("words"))
        songs = [entry.song for entry in listed[:MOST_SONGS]]
        close = close_songs(catalogue, songs, above=LEAST_SCORE)
        labels = song_labels(catalogue)
    pairs = close[:MOST_PAIRS]
    order = _order(songs, pairs)
    values = {
        "songs": [(song, labels[song]) for song in order],
        "pairs": [_shown(pair, order, labels) for pair in pairs],
        "left_out": len(listed) - len(songs),
        "close": len(close),
    }
    return page(request, "alike.html", values)


def _order(songs: Sequence[str], pairs: Sequence[ClosePair]) -> list[str]:
    """Put the songs that are close to any other side by side; the others are left out."""
    close = {song for pair in pairs for song in (pair.song_a, pair.song_b)}
    drawn = [song for song in songs if song in close]
    place_of = {song: place for place, song in enumerate(drawn)}
    shared = np.eye(len(drawn))
    for pair in pairs:
        a, b = place_of[pair.song_a], place_of[pair.song_b]
        shared[a, b] = shared[b, a] = min(pair.score, 1.0)
    return [drawn[place] for place in clustered_order(shared)]


def _shown(pair: ClosePair, order: Sequence[str], labels: dict[str, str]) -> ShownPair:
    places = order.index(pair.song_a), order.index(pair.song_b)
    apart = abs(places[0] - places[1]) / max(1, len(order) - 1)
    return ShownPair(
        pair,
        (labels[pair.song_a], labels[pair.song_b]),
        (min(places), max(places)),
        reach=_NARROWEST + (_WIDEST - _NARROWEST) * apart**0.5,
        width=round(_THINNEST + (_THICKEST - _THINNEST) * min(pair.score, 1.0), 1),
    )
