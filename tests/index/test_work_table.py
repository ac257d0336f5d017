"""Plans, students and sets saved in the catalogue."""

import sqlite3

import pytest

from melodex.errors import QueryError, WorkNotFoundError
from melodex.index.store import open_catalogue
from melodex.index.work_table import (
    LONGEST_CONTENT,
    LONGEST_NAME,
    Evaluation,
    change_work,
    delete_work,
    free_name,
    keep_evaluation,
    kept_evaluation,
    rename_work,
    save_work,
    saved_work,
    saved_works,
    undo_change,
)
from melodex.model.saved_work import WorkKind

SET, STUDENT, PLAN = WorkKind.SET, WorkKind.STUDENT, WorkKind.PLAN


@pytest.fixture
def autumn(catalogue) -> str:
    """Return the id of a saved set."""
    return save_work(catalogue, SET, "Autumn", "song\nwaltz\n").work


def test_what_is_saved_is_there_when_the_catalogue_is_opened_again(catalogue, autumn):
    with open_catalogue(catalogue.path) as again:
        found = saved_work(again, autumn)
    assert (found.kind, found.name, found.content) == (SET, "Autumn", "song\nwaltz\n")
    assert found.created == found.changed


@pytest.mark.usefixtures("autumn")
def test_two_of_one_kind_cannot_have_one_name_whatever_the_capitals(catalogue):
    with pytest.raises(QueryError, match="A set is called 'AUTUMN' already"):
        save_work(catalogue, SET, " AUTUMN ", "song\n")
    save_work(catalogue, STUDENT, "Autumn", "song\n")  # of another kind


@pytest.mark.parametrize("name", ["", "  \n ", "x" * (LONGEST_NAME + 1)])
def test_a_name_that_is_missing_or_too_long_is_refused(catalogue, name):
    with pytest.raises(QueryError, match=r"The name is (missing|too long)"):
        save_work(catalogue, SET, name, "song\n")


def test_content_that_is_too_long_is_refused(catalogue):
    with pytest.raises(QueryError, match="longer than"):
        save_work(catalogue, SET, "All", "x" * (LONGEST_CONTENT + 1))


@pytest.mark.usefixtures("autumn")
def test_a_list_is_ordered_by_kind_and_name(catalogue):
    save_work(catalogue, STUDENT, "Ann", "")
    save_work(catalogue, SET, "advent", "")
    assert [work.name for work in saved_works(catalogue)] == ["advent", "Autumn", "Ann"]


def test_a_change_is_taken_back_and_brought_back(catalogue, autumn):
    change_work(catalogue, autumn, "song\npolka\n")
    undo_change(catalogue, autumn)
    assert saved_work(catalogue, autumn).content == "song\nwaltz\n"
    undo_change(catalogue, autumn)
    assert saved_work(catalogue, autumn).content == "song\npolka\n"


def test_the_same_content_again_is_no_change_to_take_back(catalogue, autumn):
    change_work(catalogue, autumn, "song\nwaltz\n")
    assert saved_work(catalogue, autumn).before is None
    undo_change(catalogue, autumn)
    assert saved_work(catalogue, autumn).content == "song\nwaltz\n"


def test_a_new_name_leaves_the_id(catalogue, autumn):
    rename_work(catalogue, autumn, "AUTUMN term")
    assert saved_work(catalogue, autumn).name == "AUTUMN term"
    rename_work(catalogue, autumn, "Autumn Term")  # its own, in another case
    assert saved_work(catalogue, autumn).name == "Autumn Term"


def test_a_name_that_another_has_is_refused_for_a_new_one(catalogue, autumn):
    save_work(catalogue, SET, "Spring", "")
    with pytest.raises(QueryError, match="already"):
        rename_work(catalogue, autumn, "spring")


def test_what_is_deleted_is_not_found_by_anything(catalogue, autumn):
    delete_work(catalogue, autumn)
    for action in (saved_work, delete_work, undo_change):
        with pytest.raises(WorkNotFoundError, match="may have been deleted"):
            action(catalogue, autumn)


@pytest.mark.usefixtures("autumn")
def test_a_free_name_is_numbered_and_stays_short_enough(catalogue):
    assert free_name(catalogue, SET, "Spring") == "Spring"
    assert free_name(catalogue, SET, "autumn") == "autumn, 2"
    longest = "x" * LONGEST_NAME
    save_work(catalogue, SET, longest, "")
    assert len(free_name(catalogue, SET, longest)) == LONGEST_NAME


def test_an_evaluation_is_kept_with_what_it_is_of(catalogue):
    plan = save_work(catalogue, PLAN, "Term", "").work
    assert kept_evaluation(catalogue, plan) is None
    keep_evaluation(catalogue, plan, Evaluation("{}", "token"))
    assert kept_evaluation(catalogue, plan) == ("{}", "token")


def test_a_catalogue_of_the_version_before_gets_a_place_for_what_is_saved(catalogue):
    catalogue.close()
    with sqlite3.connect(catalogue.path) as connection:
        for table in ("saved_work", "correction"):
            connection.execute(f"DROP TABLE {table}")
        connection.execute("PRAGMA user_version = 5")
    connection.close()
    with open_catalogue(catalogue.path) as again:
        assert saved_works(again) == []
