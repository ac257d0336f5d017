import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.kernels.repeated_runs import count_labels, repeated_runs
from tests.reference import slow_repeated_runs as twin

LINES = st.lists(st.lists(st.integers(0, 2), max_size=12), min_size=1, max_size=6)


def runs_of(lines, shortest, longest=12):
    symbols = np.array([symbol for line in lines for symbol in line], np.int32)
    first = np.cumsum([0, *map(len, lines)])
    runs = repeated_runs(symbols, first, shortest, longest)
    told = {}
    for begin, end, length in zip(runs.begins, runs.ends, runs.lengths, strict=True):
        places = runs.order[begin:end]
        line = np.searchsorted(first, places, side="right") - 1
        run = tuple(symbols[places[0] : places[0] + length].tolist())
        assert run not in told
        told[run] = set(zip(line.tolist(), (places - first[line]).tolist(), strict=True))
    return told


@given(lines=LINES, shortest=st.integers(1, 4))
def test_runs_and_their_places_are_those_of_listing_every_stretch(lines, shortest):
    assert runs_of(lines, shortest) == twin.repeated_runs(lines, shortest)


def test_banana_repeats_a_and_ana():
    # Source: Gusfield, Algorithms on Strings, Trees, and Sequences, 1997: the word commonly used
    # for maximal repeats (from memory).
    assert {"".join("abn"[s] for s in run) for run in runs_of([[1, 0, 2, 0, 2, 0]], 1)} == {
        "a",
        "ana",
    }


def test_a_run_does_not_cross_from_one_line_into_the_next():
    assert runs_of([[1, 2], [3, 4], [1, 2, 3, 4]], 3) == {}


def test_a_run_that_is_too_long_is_identified_by_its_first_symbols():
    line = [4, 7, 1, 8, 2]
    assert runs_of([line, line], 1, longest=3) == {(4, 7, 1): {(0, 0), (1, 0)}}


@given(lines=LINES, labels=st.lists(st.integers(0, 3), min_size=72, max_size=72))
def test_labels_of_a_run_are_counted_as_a_set_counts_them(lines, labels):
    symbols = np.array([symbol for line in lines for symbol in line], np.int32)
    runs = repeated_runs(symbols, np.cumsum([0, *map(len, lines)]), 1, 12)
    label_of_place = np.array(labels[: len(symbols)], np.int64)
    counted = count_labels(runs, label_of_place).tolist()
    assert counted == [
        len(set(label_of_place[runs.order[begin:end]].tolist()))
        for begin, end in zip(runs.begins, runs.ends, strict=True)
    ]
