"""Licks that the catalogue keeps."""

import sqlite3

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from melodex.errors import LickNotFoundError, QueryError
from melodex.index.kept_licks import (
    forget_lick,
    keep_lick,
    kept_lick,
    kept_licks,
    listed_lick,
    remember_listed,
    rename_lick,
)
from melodex.index.schema import MIGRATIONS, bring_up_to_date
from melodex.index.song_records import pack_melody
from melodex.index.store import open_catalogue
from melodex.model.lick import Lick
from melodex.model.metre import Metre
from melodex.parsing.lick_tab import lick_from_tab
from melodex.search.query import lick_from_abc
from tests.strategies import melodies, melody_of

FIRST = Lick(melody_of(60, 64, 67), "typed", Metre(7, 8, (2, 2, 3)))
SECOND = Lick(melody_of(67, 64), "Old Mill, measures 5-6")


def same(lick, other):
    return (lick.came_from, lick.metre) == (other.came_from, other.metre) and all(
        np.array_equal(getattr(lick.melody, name), getattr(other.melody, name))
        for name in ("pitches", "onsets", "durations", "measures", "beat_strengths")
    )


@given(melody=melodies(min_notes=2))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_kept_lick_comes_back_as_it_was(catalogue, melody):
    lick = Lick(melody, "typed", Metre(4, 4))
    keep_lick(catalogue, "any", lick)
    assert same(kept_lick(catalogue, "any"), lick)
    forget_lick(catalogue, "any")


def test_strings_fingers_slurs_and_pinches_are_kept_with_a_lick(catalogue):
    lick = lick_from_tab("3:2T 3:h3 5:0T+1:0M 2:c8:q", "double C")
    keep_lick(catalogue, "any", lick)
    assert kept_lick(catalogue, "any").hands == lick.hands


def test_the_chords_over_a_lick_are_kept_with_it(catalogue):
    lick = lick_from_abc('M:4/4\nL:1/8\nK:G\n"D7"DFAc "G"B4|')
    keep_lick(catalogue, "any", lick)
    assert [chord.text for chord in kept_lick(catalogue, "any").chords] == ["D7", "G"]


def test_a_lick_kept_before_its_strings_were_is_still_read(tmp_path):
    path = tmp_path / "old.db"
    connection = sqlite3.connect(path, isolation_level=None)
    bring_up_to_date(connection, path, MIGRATIONS[:3])
    packed = pack_melody(FIRST.melody, np.empty((0, 2)))
    metre = '{"numerator": 7, "denominator": 8, "groups": [2, 2, 3]}'
    connection.execute(
        "INSERT INTO kept_lick VALUES (?,?,?,?,?,?,?,?,?)",
        ("fill", "fill", "typed", metre, *packed),
    )
    connection.close()
    with open_catalogue(path) as catalogue:
        kept = kept_lick(catalogue, "fill")
    assert same(kept, FIRST)
    assert (kept.hands, kept.chords) == (None, ())


def test_capitals_and_spaces_of_a_name_do_not_matter(catalogue):
    keep_lick(catalogue, "First  Fill", FIRST)
    assert same(kept_lick(catalogue, " first fill "), FIRST)
    assert [name for name, _ in kept_licks(catalogue)] == ["First Fill"]


def test_a_name_is_given_once(catalogue):
    keep_lick(catalogue, "fill", FIRST)
    with pytest.raises(QueryError, match="forget that one"):
        keep_lick(catalogue, "FILL", SECOND)
    assert same(kept_lick(catalogue, "fill"), FIRST)


def test_an_empty_name_is_refused(catalogue):
    with pytest.raises(QueryError, match="no name"):
        keep_lick(catalogue, "  ", FIRST)


@pytest.mark.parametrize("ask", [kept_lick, forget_lick])
def test_an_unknown_name_says_what_is_kept(catalogue, ask):
    with pytest.raises(LickNotFoundError, match="none is kept yet"):
        ask(catalogue, "fill")
    keep_lick(catalogue, "ending", FIRST)
    with pytest.raises(LickNotFoundError, match="'ending'"):
        ask(catalogue, "fill")


def test_a_renamed_lick_is_the_same_under_its_new_name_alone(catalogue):
    keep_lick(catalogue, "fill", FIRST)
    rename_lick(catalogue, "FILL", "walk  down")
    assert [name for name, _ in kept_licks(catalogue)] == ["walk down"]
    assert same(kept_lick(catalogue, "walk down"), FIRST)
    rename_lick(catalogue, "walk down", "Walk Down")
    assert [name for name, _ in kept_licks(catalogue)] == ["Walk Down"]


def test_a_lick_takes_no_name_of_another_and_keeps_its_own(catalogue):
    keep_lick(catalogue, "fill", FIRST)
    keep_lick(catalogue, "ending", SECOND)
    with pytest.raises(QueryError, match="called 'Ending' already exists"):
        rename_lick(catalogue, "fill", "Ending")
    with pytest.raises(LickNotFoundError, match="'fill'"):
        rename_lick(catalogue, "opening", "run")
    assert [name for name, _ in kept_licks(catalogue)] == ["ending", "fill"]


def test_a_forgotten_lick_is_gone_and_its_name_free(catalogue):
    keep_lick(catalogue, "fill", FIRST)
    forget_lick(catalogue, "Fill")
    assert kept_licks(catalogue) == []
    keep_lick(catalogue, "fill", SECOND)


def test_listed_licks_are_known_by_number_and_name_until_the_next_list(catalogue):
    remember_listed(catalogue, [("old-mill-m5", SECOND), ("new-mill-m1", FIRST)])
    assert same(listed_lick(catalogue, "2"), FIRST)
    assert same(listed_lick(catalogue, "old-mill-m5"), SECOND)
    remember_listed(catalogue, [("new-mill-m1", FIRST)])
    with pytest.raises(LickNotFoundError, match="list the licks again"):
        listed_lick(catalogue, "2")


def test_a_catalogue_made_before_licks_could_be_kept_learns_to(tmp_path):
    connection = sqlite3.connect(tmp_path / "old.db", isolation_level=None)
    bring_up_to_date(connection, tmp_path / "old.db", MIGRATIONS[:1])
    bring_up_to_date(connection, tmp_path / "old.db")
    assert connection.execute("SELECT count(*) FROM kept_lick").fetchone() == (0,)
    connection.close()
