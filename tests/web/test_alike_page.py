"""The picture of who is close to whom: arcs, and a table that says the same."""

import html
import re

import httpx
import pytest

from melodex.finder.close_songs import close_songs
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.nearest_songs import nearest_songs
from melodex.model.results.coincidence import is_likely_coincidence

LINE = re.compile(r'<li data-line="(\d+)"><a href="/songs/([^"]*)">([^<]*)</a></li>')
ARC = re.compile(r'<path data-ends="(\d+) (\d+)" stroke-width="([\d.]+)"')


@pytest.fixture(scope="module")
def loft(address):
    """The page of the two songs of the loft."""
    return httpx.get(f"{address}/alike?words=barley", trust_env=False, timeout=120).text


def test_pairs_are_those_that_near_finds_with_the_same_scores(songbook):
    some = ["the-barley-loft", "the-barley-loft-rolled", "cinder-path", "bell-without-a-clapper"]
    with open_catalogue(songbook) as catalogue:
        pairs = {
            (pair.song_a, pair.song_b): pair.score
            for pair in close_songs(catalogue, some, above=0.05)
        }
        # Witness: the list of the songs most like one, song by song.
        near = {
            (song, other.song): other.score
            for place, song in enumerate(sorted(some))
            for other in nearest_songs(catalogue, song, limit=None)
            if other.song in sorted(some)[place + 1 :]
            and other.score > 0.05
            and not is_likely_coincidence(other.expected_by_chance)
        }
    assert pairs == near
    assert ("the-barley-loft", "the-barley-loft-rolled") in pairs


def test_two_versions_of_a_tune_are_joined_by_an_arc(loft):
    lines = {int(place): html.unescape(title) for place, _, title in LINE.findall(loft)}
    assert set(lines.values()) == {"The Barley Loft", "The Barley Loft (rolled)"}
    ((one, other, width),) = ARC.findall(loft)
    assert {int(one), int(other)} == set(lines)
    assert float(width) > 3


def test_the_table_says_what_the_arcs_show_and_leads_to_the_comparison(loft):
    assert "a=the-barley-loft&amp;b=the-barley-loft-rolled" in loft
    assert "The Barley Loft \N{EN DASH} The Barley Loft (rolled)</a>" in loft


def test_exactly_the_pairs_that_are_drawn_are_listed_also_where_there_are_more(visitor):
    page = html.unescape(visitor.get("/alike").text)
    titles = {place: title for place, _, title in LINE.findall(page)}
    drawn = {frozenset((titles[a], titles[b])) for a, b, _ in ARC.findall(page)}
    rows = re.findall(r'<th scope="row"><a [^>]*>([^<]*)</a>', page)
    assert drawn == {frozenset(row.split(" \N{EN DASH} ")) for row in rows}
    assert "The closest 40 of 41 pairs" in page
    assert {title for pair in drawn for title in pair} == set(titles.values())


def test_songs_that_are_close_to_no_other_are_left_out_with_a_sentence(visitor):
    page = visitor.get("/alike?words=nearly")
    assert page.status_code == 200
    assert "No two of these songs are much like each other" in page.text


def test_the_first_page_leads_to_the_picture_of_the_songs_it_lists(visitor):
    assert 'data-fill="/alike"' in visitor.get("/").text
    assert 'data-fill="/alike?words=barley"' in visitor.get("/?words=barley").text


def test_a_filter_that_is_not_valid_is_refused_with_a_sentence(visitor):
    answer = visitor.get("/alike?level=high")
    assert answer.status_code == 400
    assert "Next:" in answer.text
