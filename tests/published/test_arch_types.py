"""Phrase shapes of the Essen collection against the counts of a published study."""

from collections import Counter

import pytest

from melodex.features.melodic_arch import FEWEST_NOTES, phrase_arch, phrase_pitches
from tests.bundled import bundled_songs

# Source: Huron, "The melodic arch in Western folksongs", Computing in Musicology 10 (1996) 3-23:
# percentages of 36,075 phrases (from memory).
HURON_PERCENTAGES = {"convex": 38.6, "descending": 28.8, "ascending": 19.4, "concave": 9.7}
# He counted an edition with annotated phrases; in the bundled books one line is one phrase.
MARGIN = 2.5  # percentage points


def test_the_phrases_of_the_essen_books_have_the_published_shapes():
    shapes = Counter(
        phrase_arch(phrase)
        for song in bundled_songs("essenFolksong")
        for phrase in phrase_pitches(song.melody)
        if len(phrase) >= FEWEST_NOTES
    )
    percentages = {shape: 100 * shapes[shape] / shapes.total() for shape in HURON_PERCENTAGES}
    assert percentages == pytest.approx(HURON_PERCENTAGES, abs=MARGIN)
