import random
from collections import Counter

from melodex.parsing.abc.abc_reader import read_abc
from tests.benchmarks.abc_against_music21 import (
    REFUSED,
    UNEXPLAINED,
    bundled_tunes,
    reasons_of_difference,
)

SAMPLE = 60
SEED = 20


def test_every_bundled_tune_is_read_but_for_two_with_a_mistyped_key():
    # K:Bn has no mode: it may be meant as Bm, or as B.
    collections = Counter[str]()
    lost: list[str] = []
    for tune in bundled_tunes():
        reading = read_abc(tune.text, tune.place)
        collections[tune.place.partition("/")[0]] += len(reading.songs)
        lost.extend(failure.reason for failure in reading.failures)
    assert sum(collections.values()) + len(lost) == 12_762
    assert [reason.partition(" in ")[0] for reason in lost] == ["unknown key 'Bn'"] * 2


def test_each_difference_from_music21_has_a_reason_that_the_standard_decides():
    tunes = random.Random(SEED).sample(list(bundled_tunes()), SAMPLE)  # noqa: S311
    reasons = {tune.place: reasons_of_difference(tune.text) for tune in tunes}
    unexplained = [place for place, found in reasons.items() if found == (UNEXPLAINED,)]
    assert not unexplained
    assert not [place for place, found in reasons.items() if found == (REFUSED,)]
    assert len(set(reasons.values())) > 1  # the sample has differences to explain
