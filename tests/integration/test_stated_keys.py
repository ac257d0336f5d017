"""Keys found by melodex against the keys that whole collections state."""

from collections import Counter

from melodex.features.key_finding import KOSTKA_PAYNE
from tests.benchmarks.stated_keys import mirex_score, relations
from tests.bundled import bundled_songs


def test_most_found_keys_are_the_stated_ones_in_books_of_dance_tunes():
    counts: Counter[str] = Counter()
    for collection in ("ryansMammoth", "airdsAirs"):
        counts += relations(bundled_songs(collection), KOSTKA_PAYNE)
    # Measured: 88.1 % exact, MIREX score 0.905; see tests/benchmarks/stated_keys.py.
    assert counts["exact"] / counts.total() > 0.86
    assert mirex_score(counts) > 0.89
