"""The pages that lay a song under the hands: tab and arrangements."""

import html
import json
import re
from typing import Any

import pytest

from melodex.banjo.arranger.arranging_stages import STAGES
from melodex.banjo.arranger.roll_patterns import ROLLS
from melodex.finder.arrange_song import arrange_song
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.tab_of_song import tab_file, tab_of_song

_PLAYED = re.compile(
    r'<div class="player"><script type="application/json">(.*?)</script>', re.DOTALL
)
LONG_TEXT = "x" * 3_000


def players_of(page: str) -> list[dict[str, Any]]:
    return [json.loads(text) for text in _PLAYED.findall(page)]


def heard_in(player: dict[str, Any]) -> list[tuple[float, int]]:
    (track,) = player["tracks"]
    return sorted((onset, pitch) for onset, _, pitch, *_ in track["notes"])


def sounded_by(tab) -> list[tuple[float, int]]:
    """Every note of a tab without repeats, as it sounds."""
    return sorted((round(note.onset, 4), tab.pitch(note)) for note in tab.notes)


def test_an_arrangement_is_shown_with_the_song_as_it_was(visitor):
    page = visitor.get("/songs/apples-on-the-sill/arrange").text
    assert page.index('aria-label="Staff and tab of Apples on the Sill') > 0
    assert page.index('id="after"') < page.index('id="before"')
    assert page.count('class="music ') == 2
    assert page.index("melody-ring") < page.index('id="before"')


def test_both_players_of_an_arrangement_play_every_note(visitor, songbook):
    page = visitor.get("/songs/apples-on-the-sill/arrange?stage=roll").text
    with open_catalogue(songbook) as catalogue:
        after = arrange_song(catalogue, "apples-on-the-sill", stage="roll")
        before = tab_of_song(catalogue, "apples-on-the-sill")
    assert [heard_in(player) for player in players_of(page)] == [
        sounded_by(after),
        sounded_by(before),
    ]


@pytest.mark.parametrize("path", ["tab", "arrange?stage=melody"])
def test_a_page_says_what_its_files_cannot_hold(visitor, monkeypatch, path):
    def left_out(tab, suffix):
        return [f"{tab.song.title[:9]} is too much for {suffix}."]

    monkeypatch.setattr("melodex.web.under_the_hands.left_out_of_file", left_out)
    page = visitor.get(f"/songs/apples-on-the-sill/{path}").text
    assert "In the text tab file: Apples on is too much for .tab." in page
    assert "In the MusicXML file: Apples on is too much for .musicxml." in page


def test_only_the_file_that_leaves_something_out_is_named(visitor):
    page = visitor.get("/songs/apples-on-the-sill/tab").text
    assert "In the text tab file: The words are left out" in page
    assert "In the MusicXML file" not in page


@pytest.mark.parametrize("stage", STAGES)
def test_the_form_of_an_arrangement_offers_every_stage_and_keeps_the_one_sent(visitor, stage):
    page = visitor.get(f"/songs/nearly-home/arrange?stage={stage}&measures=1-2").text
    assert re.findall(r'<option value="(\w+)" selected', page) == [stage]
    assert [name for name in STAGES if f'<option value="{name}"' in page] == list(STAGES)


def test_the_form_of_an_arrangement_offers_every_roll_and_keeps_the_one_sent(visitor):
    page = visitor.get("/songs/nearly-home/arrange?roll=backward&measures=1-2").text
    assert [name for name in ROLLS if f">{name}</option>" in page] == list(ROLLS)
    assert "<option selected>backward</option>" in page


@pytest.mark.parametrize(
    ("path", "sentence"),
    [
        ("/songs/nearly-home/arrange?stage=dance", "There is no stage called"),
        ("/songs/nearly-home/arrange?roll=sausage", "There is no roll called"),
        ("/songs/nearly-home/arrange?stage=melody&roll=forward", "has no roll"),
        ("/songs/nearly-home/arrange?measures=8-1", "run backwards"),
        ("/songs/nearly-home/arrange?measures=90-91", "has no measure"),
        ("/songs/nearly-home/tab?measures=x", "names no measures"),
        ("/songs/nearly-home/tab?capo=abc", "is not valid for"),
        ("/songs/nearly-home/tab?capo=-1", "is not valid for"),
        ("/songs/nearly-home/tab?capo=1.5", "is not valid for"),
        ("/songs/nearly-home/tab?octaves=nan", "is not valid for"),
        ("/songs/nearly-home/tab?octaves=9", "is not valid for"),
        ("/songs/nearly-home/tab?tuning=%00%ff", "There is no tuning called"),
        (f"/songs/nearly-home/tab?tuning={LONG_TEXT}", "holds too much"),
        ("/songs/cinder-path/tab?octaves=3", "set “Octaves up or down” to"),
        ("/place?into=unlatched&form=drum&text=x", "not a form that a lick can be typed in"),
        ("/place?into=unlatched&form=tab&text=9:9", "9:9"),
        ("/place?into=unlatched&form=song&text=cinder-path", "measures of the lick are missing"),
        ("/place?into=unlatched&text=D4+E4&octaves=x", "is not valid for"),
        ("/place?into=unlatched&text=D4+E4&number=0", "is not valid for"),
        (f"/place?into={LONG_TEXT}&text=D4", "holds too much"),
        (f"/place?into=unlatched&song=cinder-path&measure={'9' * 5_000}", "No measures are chosen"),
    ],
)
def test_a_mistake_is_shown_above_the_form_with_a_next_step(visitor, path, sentence):
    answer = visitor.get(path)
    page = html.unescape(answer.text)
    assert answer.status_code == 400
    assert sentence in page
    assert page.index("Next:") < page.index("<form action=")


def test_what_was_sent_fills_the_form_in_again(visitor):
    page = visitor.get("/songs/nearly-home/tab?capo=abc&octaves=1&measures=2-3&count=1").text
    fields = {field: f'name="{field}"[^>]*value="{value}"' for field, value in
              {"capo": "abc", "octaves": "1", "measures": "2-3"}.items()}  # fmt: skip
    assert [field for field, pattern in fields.items() if not re.search(pattern, page)] == []
    assert 'name="count" value="1" checked' in page


@pytest.mark.parametrize("page", ["tab", "arrange", "tab.tab", "arrange.musicxml"])
def test_a_song_that_is_not_there_is_said_to_be_missing(visitor, page):
    answer = visitor.get(f"/songs/no-such-song/{page}")
    assert answer.status_code == 404
    assert "no-such-song" in answer.text
    assert "Next:" in answer.text


def test_a_file_of_an_unknown_kind_is_not_there(visitor):
    assert visitor.get("/songs/nearly-home/tab.exe").status_code == 404


def test_the_tab_page_states_the_octave_and_shows_capo_shapes(visitor):
    page = visitor.get("/songs/unlatched/tab?capo=2").text
    assert "octave" in page
    assert "Chords are named by their shapes behind the capo at fret 2." in page


def test_a_song_can_be_laid_up_the_neck_and_an_octave_higher(visitor):
    pages = [
        visitor.get(f"/songs/down-the-cellar-backwards/tab{choice}").text.partition("<svg")[2]
        for choice in ("", "?neck=up", "?octaves=1")
    ]
    assert len(set(pages)) == len(pages)


def test_cautions_stand_above_the_music_they_are_about(visitor, songbook):
    with open_catalogue(songbook) as catalogue:
        (caution, *_) = tab_of_song(catalogue, "weir-in-spate").cautions
    page = html.unescape(visitor.get("/songs/weir-in-spate/tab").text)
    assert page.index(caution) < page.index('class="music ')


@pytest.mark.parametrize(("kind", "media_type"), [("tab", "text/plain"), ("musicxml", "musicxml")])
def test_a_tab_is_downloaded_as_the_page_shows_it(visitor, songbook, kind, media_type):
    page = visitor.get("/songs/unlatched/tab?octaves=0&measures=1-4&count=1").text
    (address,) = re.findall(rf'href="(/songs/unlatched/tab\.{kind}[^"]*)" download', page)
    answer = visitor.get(html.unescape(address))
    with open_catalogue(songbook) as catalogue:
        tab = tab_of_song(catalogue, "unlatched", octaves=0)
    assert answer.content == tab_file(tab, f".{kind}", measures=(1, 4), count=True)
    assert answer.headers["content-disposition"] == f'attachment; filename="unlatched.{kind}"'
    assert media_type in answer.headers["content-type"]


def test_an_arrangement_is_downloaded_with_its_choices(visitor, songbook):
    page = visitor.get("/songs/nearly-home/arrange?roll=forward&simple=1").text
    (address,) = re.findall(r'href="(/songs/nearly-home/arrange\.tab[^"]*)" download', page)
    with open_catalogue(songbook) as catalogue:
        tab = arrange_song(catalogue, "nearly-home", roll="forward", simple=True)
    assert visitor.get(html.unescape(address)).content == tab_file(tab, ".tab")


def test_the_beats_are_counted_in_the_picture_and_in_plain_characters(visitor):
    page = visitor.get("/songs/nearly-home/tab?count=1&measures=2").text
    words = re.findall(r'class="hand count"[^>]*>([^<]*)<', page)
    assert html.unescape("".join(words)) == "1&2&3&4&"
    assert re.search(r"1 +&amp; +2 +&amp; +3 +&amp; +4 +&amp;", page)
    assert "hand count" not in visitor.get("/songs/nearly-home/tab?measures=2").text


def test_a_song_is_arranged_up_the_neck(visitor, songbook):
    page = visitor.get("/songs/apples-on-the-sill/arrange?neck=up").text
    with open_catalogue(songbook) as catalogue:
        after = arrange_song(catalogue, "apples-on-the-sill", up_the_neck=True)
    assert heard_in(players_of(page)[0]) == sounded_by(after)
    assert '<option value="up" selected>' in page
