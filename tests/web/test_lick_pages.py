"""The pages of licks and of two songs."""

import html
import re

import pytest

from melodex.finder.collection.demo import add_songbook
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.find_lick import find_lick
from melodex.finder.find_shape import find_shape
from melodex.finder.given_lick import LickForm, given_lick
from melodex.finder.recurring_licks import recurring_licks
from melodex.finder.shared_phrases import shared_phrases
from melodex.report.typesetting import range_in_print, typeset

# One phrase in four ways: sol la do' mi' re' do' on the lower strings of open G.
SAME_LICK = {
    LickForm.NOTES: "D4 E4 G4 B4 A4 G4",
    LickForm.ABC: "DEGB AG",
    LickForm.DEGREES: "5 6 1' 3' 2' 1'",
    LickForm.TAB: "1:0 1:2 1:5 1:9 1:7 1:5",
}


def titles_in(page: str) -> list[str]:
    found = re.findall(r'<th scope="row"><a href="/songs/[^"]*">([^<]*)</a>', page)
    return [html.unescape(title) for title in found]


@pytest.mark.parametrize(("form", "text"), SAME_LICK.items())
def test_each_way_to_write_a_lick_finds_what_the_command_finds(visitor, songbook, form, text):
    with open_catalogue(songbook) as catalogue:
        matches = find_lick(catalogue, given_lick(catalogue, form, text))
    page = visitor.get("/find", params={"form": form, "text": text}).text
    assert titles_in(page) == [match.title for match in matches]


def test_a_kept_lick_is_renamed_from_its_page(owner):
    form = {"form": "notes", "text": "D4 E4 G4 B4", "name": "climb"}
    owner.post("/licks/keep", form)
    assert owner.post("/licks/rename", {"name": "climb", "new_name": "way up"}).status_code == 303
    assert ">way up</a>" in owner.get("/licks").text
    refused = owner.post("/licks/rename", {"name": "climb", "new_name": "x"})
    assert refused.status_code == 404
    assert "There is no kept lick called" in refused.text


def test_a_shape_finds_what_the_command_finds_and_a_wrong_move_is_explained(visitor, songbook):
    shape = "up, step down, leap down, down, step up"
    with open_catalogue(songbook) as catalogue:
        matches = find_shape(catalogue, shape)
    page = visitor.get("/find", params={"form": "shape", "text": shape})
    assert titles_in(page.text) == [match.title for match in matches]
    wrong = visitor.get("/find", params={"form": "shape", "text": "up, sideways"})
    assert wrong.status_code == 400
    assert "sideways" in wrong.text
    assert '<option value="shape" selected>' in wrong.text


def test_the_best_matches_are_shown_beside_the_lick_with_the_matched_notes_marked(visitor):
    page = visitor.get("/find", params={"form": "notes", "text": SAME_LICK[LickForm.NOTES]}).text
    answers = page.split('<div class="beside">')[1:]
    assert len(answers) == 5
    for answer in answers:
        lick, passage = answer.split("<figure>")[1:3]
        assert 'aria-label="Staff of The lick' in lick
        assert "mark-a" in lick
        assert "mark-a" in passage


def test_measures_ticked_on_a_song_are_the_lick_that_is_looked_for(visitor):
    page = visitor.get("/find?song=cinder-path&measure=6&measure=5").text
    assert typeset("Songs that match Cinder Path, measures 5-6") in page
    assert titles_in(page)[0] == "Cinder Path"


def test_a_filter_keeps_other_songs_out(visitor):
    page = visitor.get("/find?song=cinder-path&measure=5&measure=6&tag=warm-up").text
    assert "Cinder Path" not in titles_in(page)


def test_few_notes_are_called_weak_evidence_and_no_score_a_legal_opinion(visitor):
    page = visitor.get("/find?form=notes&text=D4+E4+G4").text
    assert "weak evidence" in page
    assert "no legal opinion" in page


def test_a_lick_as_long_as_a_book_is_refused(visitor):
    page = visitor.get("/find", params={"form": "notes", "text": "D4 " * 300})
    assert page.status_code == 400
    assert "too long" in page.text


def test_a_found_lick_is_kept_under_a_name_found_by_it_and_forgotten(owner):
    owner.post("/licks/keep", {"form": "notes", "text": "D4 E4 G4 B4", "name": "first fill"})
    assert "first fill" in owner.get("/licks").text
    assert owner.get("/find?form=kept&text=first+fill").status_code == 200
    owner.post("/licks/forget", {"name": "first fill"})
    assert "first fill" not in owner.get("/licks").text


def test_recurring_licks_are_listed_and_then_stand_on_the_pages_of_their_songs(
    owner, own_catalogue
):
    with open_catalogue(own_catalogue) as catalogue:
        add_songbook(catalogue)
        expected = recurring_licks(catalogue, limit=3)
    page = html.unescape(owner.outcome(owner.post("/licks", {"limit": "3"})).text)
    for number, lick in enumerate(expected, start=1):
        name = typeset(lick.name)
        assert f">{number}. {name}</h2>" in page
        assert f"<dd>{' '.join(lick.rhythm)}, from beat" in page
        assert str(lick.tab) in page
        place = lick.occurrences[0]
        on_song = html.unescape(owner.get(f"/songs/{place.song}").text).partition("Its licks")[2]
        assert f"{name}</a>: {' '.join(lick.notes)}, measure" in on_song


def test_shared_phrases_have_the_same_letters_in_both_songs(visitor, songbook):
    with open_catalogue(songbook) as catalogue:
        shared = shared_phrases(catalogue, "otter-under-the-bridge", "the-barley-loft")
    page = visitor.get("/compare?a=otter-under-the-bridge&b=the-barley-loft").text
    first, second = page.split("<figure>")[1:3]
    letters = [chr(ord("A") + number) for number in range(len(shared.phrases))]
    assert letters
    for letter in letters:
        assert f"Phrase {letter}:" in page
        assert f"mark-{letter.lower()}" in first
        assert f"mark-{letter.lower()}" in second


@pytest.mark.parametrize(
    ("path", "title"),
    [
        ("/find/report?song=cinder-path&measure=5&measure=6", "Matches of the lick"),
        ("/compare/report?a=otter-under-the-bridge&b=the-barley-loft", "What Otter under"),
    ],
)
def test_matches_are_saved_as_a_report_that_needs_no_site(visitor, path, title):
    answer = visitor.get(path)
    assert answer.headers["content-disposition"].startswith("attachment")
    assert title in answer.text
    assert "<svg" in answer.text


def test_a_song_compared_with_itself_shows_its_form(visitor):
    page = visitor.get("/compare?a=cinder-path&b=cinder-path").text
    assert "Cinder Path and itself" in page
    assert f"Form, with measures: A ({range_in_print('1-2')})" in page
