"""Find the phrases that two songs share, or that one song repeats."""

import numpy as np
from numpy.typing import NDArray

from melodex.index.blocks import load_blocks
from melodex.index.store import Catalogue
from melodex.model.melody import Melody
from melodex.model.results.phrase import (
    FormPart,
    OtherPlaces,
    SharedMaterial,
    SharedPhrase,
    SongShare,
)
from melodex.model.song import Song
from melodex.phrases.form import form_of
from melodex.phrases.shared import Phrase, Shared, shared_by
from melodex.significance.chance_of_phrases import chance_of_phrases

SCORE_DIGITS = 4  # further digits are noise


def shared_phrases(catalogue: Catalogue, song_a: str, song_b: str) -> SharedMaterial:
    """Find the phrases that two songs share in any key, each once, longest first.

    Songs are compared as written, so repeats count once. A song compared with itself shows the
    phrases that it repeats.

    Parameters
    ----------
    song_a, song_b : str
        Ids or unambiguous parts of titles.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has a name.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    ids = catalogue.resolve(song_a), catalogue.resolve(song_b)
    songs = {song_id: catalogue.song(song_id) for song_id in ids}
    a, b = (songs[song_id] for song_id in ids)
    shared = shared_by(a.melody, b.melody)
    levels = _chance_levels(catalogue, a.melody, b.melody, shared.phrases)
    return SharedMaterial(
        phrases=tuple(
            _record_of(phrase, a.melody, b.melody, level)
            for phrase, level in zip(shared.phrases, levels, strict=True)
        ),
        alignments=tuple(
            tuple((int(one), int(other)) for one, other in phrase.stretch.pairs)
            for phrase in shared.phrases
        ),
        other_places=tuple(
            OtherPlaces(_all_measures(a.melody, in_a), _all_measures(b.melody, in_b))
            for in_a, in_b in (phrase.again for phrase in shared.phrases)
        ),
        share_a=_share(ids[0], a, shared.in_one),
        share_b=_share(ids[1], b, shared.in_other),
        form=_form(a.melody, shared) if a is b else (),
    )


def _chance_levels(
    catalogue: Catalogue, a: Melody, b: Melody, phrases: tuple[Phrase, ...]
) -> list[float | None]:
    """Return the chance level of each phrase; None if the catalogue is too small for one."""
    model = chance_of_phrases(load_blocks(catalogue))
    if model is None:
        return [None] * len(phrases)
    pairs_of_places = len(a) * len(b) / (2 if a is b else 1)
    return [model.expected(phrase.stretch.log_odds, pairs_of_places) for phrase in phrases]


def _record_of(phrase: Phrase, a: Melody, b: Melody, level: float | None) -> SharedPhrase:
    place_a, place_b = phrase.stretch.places
    return SharedPhrase(
        *_measures(a, place_a),
        *_measures(b, place_b),
        transposition=phrase.stretch.transposition,
        score=round(phrase.stretch.score, SCORE_DIGITS),
        expected_by_chance=level,
        notes=phrase.stretch.matched,
        form=phrase.stretch.form,
    )


def _measures(melody: Melody, place: range) -> tuple[int, int]:
    return int(melody.measures[place[0]]), int(melody.measures[place[-1]])


def _all_measures(melody: Melody, places: list[range]) -> tuple[tuple[int, int], ...]:
    """List the measures of several places, joining those that overlap."""
    merged: list[range] = []
    for place in sorted(places, key=lambda place: place.start):
        if merged and place.start < merged[-1].stop:
            place = range(merged[-1].start, max(merged.pop().stop, place.stop))
        merged.append(place)
    return tuple(_measures(melody, place) for place in merged)


def _form(melody: Melody, shared: Shared) -> tuple[FormPart, ...]:
    return tuple(
        FormPart(part.letter, *_measures(melody, part.notes))
        for part in form_of(shared.phrases, len(melody))
    )


def _share(song_id: str, song: Song, within: NDArray[np.bool_]) -> SongShare:
    measures = song.melody.measures
    full = measures > 0
    return SongShare(
        song=song_id,
        title=song.title,
        notes=int(within.sum()),
        all_notes=len(within),
        measures=len(np.unique(measures[full & within])),
        all_measures=len(np.unique(measures[full])),
    )
