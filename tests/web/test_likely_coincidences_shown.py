"""Matches that are likely coincidence on pages: marked in words beside the title."""

import re
from dataclasses import replace

import pytest

from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.find_lick import find_lick
from melodex.finder.find_shape import find_shape
from melodex.finder.given_lick import LickForm, given_lick
from melodex.finder.nearest_songs import nearest_songs
from melodex.finder.reports import report_lick
from melodex.finder.shared_phrases import shared_phrases
from melodex.web.routes import compare_pages, find_pages

LICK = "D4:e E4 D4 B3 G3 A3 E3 F#3 G3:h"
SHAPE = "up, step down, leap down, down, step up, leap down, up, up long"
MARK = '<span class="aside">(likely coincidence)</span>'
ONLY = "No match is better than what chance would bring"


def marked_rows(page):
    """Whether each row of the page's first table of songs is marked."""
    headings = re.findall(r'<th scope="row"><a href="/songs/[^\n]*</th>', page)
    return [MARK in heading for heading in headings]


def found_and_page(kind, visitor, songbook):
    """What a search finds, and the page that shows it."""
    with open_catalogue(songbook) as catalogue:
        if kind == "lick":
            lick = given_lick(catalogue, LickForm.NOTES, LICK)
            page = visitor.get("/find", params={"form": "notes", "text": LICK})
            return find_lick(catalogue, lick), page.text
        if kind == "shape":
            page = visitor.get("/find", params={"form": "shape", "text": SHAPE})
            return find_shape(catalogue, SHAPE), page.text
        page = visitor.get("/songs/long-table-supper/near")
        return nearest_songs(catalogue, "long-table-supper", limit=10), page.text


@pytest.mark.parametrize("kind", ["lick", "shape", "near"])
def test_rows_above_a_level_of_1_and_no_others_are_marked_in_words(visitor, songbook, kind):
    found, page = found_and_page(kind, visitor, songbook)
    expected = [each.expected_by_chance > 1 for each in found]
    assert marked_rows(page) == expected
    assert True in expected
    assert False in expected


def test_a_query_that_finds_coincidences_only_says_so(visitor):
    short = visitor.get("/find", params={"form": "shape", "text": "step up, step down"}).text
    assert ONLY in short
    assert "2 moves are weak evidence" in short
    long = visitor.get("/find", params={"form": "shape", "text": SHAPE}).text
    assert ONLY not in long
    assert "weak evidence" not in long


def test_a_phrase_that_is_likely_coincidence_is_marked_in_its_heading(visitor, monkeypatch):
    def at_levels(catalogue, *songs):
        found = shared_phrases(catalogue, *songs)
        phrases = [replace(phrase, expected_by_chance=3.0) for phrase in found.phrases]
        return replace(found, phrases=tuple(phrases))

    monkeypatch.setattr(compare_pages, "shared_phrases", at_levels)
    page = visitor.get("/compare?a=weir-in-spate&b=unlatched").text
    headings = re.findall(r"<h3 id=.phrase-[^\n]*</h3>", page)
    assert headings
    assert all(MARK in heading for heading in headings)
    assert ONLY in page
    assert "coincidences=1" in page


def test_a_report_of_a_lick_is_saved_with_or_without_coincidences(visitor, monkeypatch):
    def at_levels(*arguments, **options):
        first, *others = find_lick(*arguments, **options)
        return [first, *(replace(match, expected_by_chance=3.0) for match in others)]

    for module in (find_pages, report_lick):
        monkeypatch.setattr(module, "find_lick", at_levels)
    lick = {"form": "notes", "text": LICK}
    assert "coincidences=1" in visitor.get("/find", params=lick).text
    without = visitor.get("/find/report", params=lick).text
    assert "Left out as likely coincidence: 4 of 5 matches." in without
    both = visitor.get("/find/report", params=lick | {"coincidences": "1"}).text
    assert [page.count('id="place-') for page in (without, both)] == [1, 5]


def test_a_page_that_shows_the_best_songs_only_says_of_how_many(visitor):
    page = visitor.get("/find", params={"form": "notes", "text": LICK}).text
    assert "20 of 57 songs are shown, the best first." in page
    assert "20 of 57 songs" in visitor.get("/find", params={"form": "shape", "text": SHAPE}).text
    near = visitor.get("/songs/long-table-supper/near").text
    assert "10 of 56 other songs are shown, the most alike first." in near
    few = visitor.get("/find", params={"form": "notes", "text": LICK, "tag": "warm-up"}).text
    assert "songs are shown" not in few
