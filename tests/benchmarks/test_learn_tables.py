"""The learning of the tables, on a toy book of invented versions."""

import json
from dataclasses import fields

import numpy as np
import pytest

from melodex.alignment.learned_tables import LearnedTables, learned_tables
from tests.benchmarks.learn_tables import (
    Candidates,
    as_json,
    candidates_of,
    count_round,
)
from tests.benchmarks.learned_counts import Counts, estimate, first_guess
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
