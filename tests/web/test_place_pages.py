"""The page that carries a lick into a song."""

import html
import json
import re

from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.given_lick import LickForm, given_lick
from melodex.finder.place_lick import place_lick
from melodex.finder.tab_of_song import tab_file

CUT = "/place?into=unlatched&form=song&text=cinder-path&measures=5-6"
_PLAYED = re.compile(
    r'<div class="player"><script type="application/json">(.*?)</script>', re.DOTALL
)


def places_of(songbook, form: LickForm, text: str, measures=None):
    with open_catalogue(songbook) as catalogue:
        lick = given_lick(catalogue, form, text, measures=measures)
        return place_lick(catalogue, "unlatched", lick).places


def test_places_are_listed_in_order_with_the_reasons_the_command_lists(visitor, songbook):
    page = html.unescape(visitor.get(CUT).text).replace("\N{WORD JOINER}", "")
    places = places_of(songbook, LickForm.SONG, "cinder-path", (5, 6))
    best = re.findall(r'<h3 id="place-(\d)">\d. Measures (\d+)–(\d+), fit', page)
    expected = [
        (str(number), str(each.placement.first_measure), str(each.placement.last_measure))
        for number, each in enumerate(places[:3], start=1)
    ]
    assert best == expected
    reasons = [reason for each in places[:3] for reason in each.placement.because]
    assert [reason for reason in reasons if f"<li>{reason}</li>" not in page] == []
    assert page.count("number=") - 3 * 3 == len(places) - 3


def test_a_place_is_drawn_as_it_is_and_with_the_lick_and_both_sound(visitor, songbook):
    page = visitor.get(CUT).text
    first = page.partition("<article")[2].partition("</article>")[0]
    (player,) = [json.loads(text) for text in _PLAYED.findall(first)]
    assert [track["label"] for track in player["tracks"]] == ["as it is", "with the lick"]
    (best, *_) = places_of(songbook, LickForm.SONG, "cinder-path", (5, 6))
    begin = 4.0 * (best.placement.first_measure - 1)
    heard = sorted((onset, pitch) for onset, _, pitch, *_ in player["tracks"][1]["notes"])
    assert heard == sorted(
        (note.onset - begin, best.tab.pitch(note))
        for note in best.tab.notes
        if begin <= note.onset < begin + 8
    )
    assert first.count("dir letter mark") == 1


def test_a_lick_can_be_typed_as_tab(visitor):
    page = visitor.get("/place?into=unlatched&form=tab&text=3:2T+3:h3+5:0T%2B1:0M:q")
    assert page.status_code == 200
    assert 'id="place-1"' in page.text


def test_a_kept_lick_is_placed_and_offered(owner, own_catalogue, songbook):
    own_catalogue.write_bytes(songbook.read_bytes())
    owner.post("/licks/keep", {"name": "first fill", "form": "notes", "text": "G4 E4 D4 B3"})
    page = owner.get("/place?into=unlatched").text
    (address,) = re.findall(r'<a href="(/place[^"]*)">first fill</a>', page)
    assert 'id="place-1"' in owner.get(html.unescape(address)).text


def test_measures_ticked_on_a_songs_page_become_the_lick(visitor):
    page = visitor.get("/place?song=cinder-path&measure=5&measure=6").text
    assert '<option value="song" selected>' in page
    assert ">Cinder Path</textarea>" in page
    assert 'name="measures" value="5-6"' in page


def test_the_song_with_the_lick_is_shown_whole_and_downloaded(visitor, songbook):
    page = visitor.get(f"{CUT}&number=2").text
    assert "Unlatched with the lick in place 2" in page
    whole = page.partition('id="whole"')[2].partition("</section>")[0]
    (address,) = re.findall(r'href="(/place\.tab[^"]*)" download', whole)
    second = places_of(songbook, LickForm.SONG, "cinder-path", (5, 6))[1]
    answer = visitor.get(html.unescape(address))
    assert answer.content == tab_file(second.tab, ".tab")
    assert 'filename="unlatched-with-lick.tab"' in answer.headers["content-disposition"]


def test_a_place_that_is_not_there_is_said_to_be_missing(visitor):
    answer = visitor.get(f"{CUT}&number=99")
    assert answer.status_code == 400
    assert "There is no place number 99" in answer.text


def test_a_lick_that_cannot_go_into_a_song_says_why_above_the_form(visitor):
    answer = visitor.get("/place?into=coal-barge-waltz&form=song&text=cinder-path&measures=5-6")
    assert answer.status_code == 400
    assert "The lick is in 4/4" in answer.text
    assert 'name="into" value="coal-barge-waltz"' in answer.text


def test_a_title_that_means_several_songs_lists_them_above_the_form(visitor):
    answer = visitor.get("/place?into=barley&text=D4+E4+G4")
    assert answer.status_code == 404
    assert "may mean any of 2 songs" in answer.text
    assert 'name="into" value="barley"' in answer.text
