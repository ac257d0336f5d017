"""The learning of the tables, on a toy book of invented versions."""

import json
from dataclasses import fields

import numpy as np
import pytest

from melodex.alignment.learned_tables import LearnedTables, learned_tables
from melodex.model.key import Key
from tests.benchmarks.learn_tables import (
    Candidates,
    as_json,
    candidates_of,
    count_round,
)
from tests.benchmarks.learned_counts import Counts, estimate, estimate_scale, first_guess
from tests.searched import arrays_of
from tests.strategies import melody_of, song_of

BEATS = [1, 0.25, 0.5, 0.25] * 6


def version_of(rng, pitches, *, varied):
    """Play a tune in another key, with a few other notes and one of them left out."""
    own = np.array(pitches) + int(rng.integers(-5, 6))
    own[rng.choice(len(own), varied, replace=False)] += rng.choice([-2, 2], varied)
    left = np.delete(np.arange(len(own)), rng.integers(1, len(own) - 1, 1) if varied else [])
    return melody_of(*own[left].tolist(), beat_strengths=[BEATS[note] for note in left])


def toy_book():
    """Return eight tunes in three versions each, and pairs of strangers."""
    rng = np.random.default_rng(1903)
    melodies = [
        version_of(rng, tune, varied=3) for tune in rng.integers(55, 80, (8, 24)) for _ in range(3)
    ]
    versions = {
        first + one: list(range(first + one + 1, first + 3))
        for first in range(0, 24, 3)
        for one in range(2)
    }
    strangers = [(n, (n + 3 + int(rng.integers(0, 18))) % 24) for n in range(24) for _ in range(2)]
    return Candidates(versions, [pair for pair in strangers if pair[0] // 3 != pair[1] // 3]), (
        arrays_of(*melodies)
    )


def learned():
    candidates, arrays = toy_book()
    tables, counts = first_guess(), Counts()
    for _ in range(2):
        counts, _ = count_round(candidates, arrays, tables)
        tables = estimate(counts)
    return tables, counts


def test_versions_teach_that_equal_pitches_and_beats_match():
    tables, counts = learned()
    assert counts.pairs > 12
    assert tables.pitch[0] > 0
    assert tables.pitch[0] == tables.pitch.max()
    assert tables.pitch[2] > tables.pitch[[3, 4, 5, 6]].max()  # as the versions vary
    np.testing.assert_allclose(tables.beat, tables.beat.T)
    assert tables.beat.max() == tables.beat[0, 0]
    assert (tables.gap_open < 0).all()


def test_learning_twice_from_the_same_songs_gives_the_same_tables():
    (one, _), (other, _) = learned(), learned()
    assert as_json(one, {}) == as_json(other, {})


def test_copies_of_one_song_teach_nothing_about_variation():
    rng = np.random.default_rng(3)
    tune = rng.integers(55, 80, 24).tolist()
    copies = arrays_of(*(version_of(rng, tune, varied=0) for _ in range(2)), melody_of(60, 62))
    counts, _ = count_round(Candidates({0: [1]}, [(0, 2)]), copies, first_guess())
    assert (counts.copies, counts.pairs) == (1, 0)
    assert counts.pitch.sum() == 0


def test_notes_outside_the_scale_say_more_for_a_match_the_fewer_there_are():
    few, many = Counts(), Counts()
    few.scale = np.array([[9600.0, 100], [100, 200]])
    many.scale = np.array([[6600.0, 1000], [1000, 1400]])
    # Shares: 3 in 100 notes lie outside, 2 in 100 pairs are two of them, and each is met by one
    # that lies inside in 1 of 100.
    expected = [[np.log(0.96 / 0.97**2), np.log(0.01 / 0.03 / 0.97)], [0, np.log(0.02 / 0.03**2)]]
    np.testing.assert_allclose(np.triu(estimate_scale(few)), expected, atol=0.01)
    assert 0 < estimate_scale(many)[1, 1] < estimate_scale(few)[1, 1]
    assert estimate_scale(many)[0, 1] == estimate_scale(many)[1, 0] < 0


@pytest.mark.parametrize("key", [Key("C", "major"), None])
def test_what_meets_in_scales_is_counted_where_both_keys_are_known(key):
    rng = np.random.default_rng(5)
    tune = rng.integers(55, 80, 24).tolist()
    songs = [version_of(rng, tune, varied=3) for _ in range(2)]
    arrays = arrays_of(*songs, melody_of(60, 62), keys=[Key("C", "major"), key, None])
    counts, _ = count_round(Candidates({0: [1]}, [(0, 2)]), arrays, first_guess())
    assert counts.scale.sum() == (counts.pitch[0].sum() if key else 0)
    assert (estimate_scale(counts) == 0).all() == (key is None)


def test_only_songs_of_one_title_of_the_half_to_learn_from_are_candidates():
    titles = ["The Green Gate", "Green Gate, The", "Over the Weir", "Over the Weir", "The Loom"]
    candidates = candidates_of([song_of(melody_of(60, 62), title=title) for title in titles])
    assert all({0: [1], 2: [3]}[one] == others for one, others in candidates.versions.items())
    assert candidates.n_pairs == len(candidates.strangers)
    assert candidates_of([]).n_pairs == 0


def test_tables_are_written_whole_and_as_the_package_reads_them():
    written = json.loads(as_json(learned_tables(), {"script": "here"}))
    assert written["learned_from"] == {"script": "here"}
    assert list(written["tables"]) == [field.name for field in fields(LearnedTables)]
    for name, table in written["tables"].items():
        # Scores may be rounded to the kernels' units.
        assert table == pytest.approx(np.array(getattr(learned_tables(), name)), abs=1 / 64)
