"""The pages of songs."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.list_songs import list_songs
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.nearest_songs import nearest_songs
from melodex.report.typesetting import range_in_print, typeset
from tests.songbook import SONGBOOK
from tests.web.test_adding import TUNE, send

MOST_BYTES_OF_FIRST_PAGE = 60_000  # compressed
PAGES = ("/", "/add", "/songs/cinder-path", "/songs/cinder-path/near", "/find", "/licks",
         "/compare", "/compare?a=cinder-path&b=weir-in-spate",
         "/songs/cinder-path/tab", "/songs/cinder-path/arrange", "/place",
         "/lessons", "/student", "/audit", "/saved",
         "/find?form=notes&text=D4+E4+G4+B4+A4+G4")  # fmt: skip
_SOURCES = re.compile(r'(?:src|href|action)="([^"]*)"')


def titles_in(page: str) -> list[str]:
    return re.findall(r'<th scope="row"><a href="/songs/[^"]*">([^<]*)</a>', page)


@pytest.mark.parametrize("path", PAGES)
def test_no_page_asks_another_host_for_anything(visitor, path):
    page = visitor.get(path)
    assert page.status_code == 200
    sources = _SOURCES.findall(page.text)
    assert sources
    assert [source for source in sources if not re.match(r"/(?!/)|#|$", source)] == []
    assert "http" not in re.sub(r"http-equiv", "", page.text)


def test_the_first_page_weighs_less_than_60_kilobytes_with_all_it_loads(visitor):
    page = visitor.get("/")
    files = set(re.findall(r'(?:src|href)="(/(?:static|music)/[^"]*)"', page.text))
    assert files
    weight = sum(each.num_bytes_downloaded for each in (page, *map(visitor.get, files)))
    assert weight < MOST_BYTES_OF_FIRST_PAGE


@pytest.mark.parametrize("sort", ["title", "level", "notes"])
def test_songs_are_in_the_chosen_order_on_every_page(visitor, songbook, sort):
    with open_catalogue(songbook) as catalogue:
        expected = [entry.title for entry in list_songs(catalogue, sort=sort)]
    shown = [
        title
        for page in (1, 2)
        for title in titles_in(visitor.get(f"/?sort={sort}&page={page}").text)
    ]
    assert [title.replace("&#39;", "'") for title in shown] == expected


def test_songs_are_searched_by_words_and_filtered_by_facts(visitor):
    page = visitor.get("/?words=barley&tag=rolls").text
    assert titles_in(page) == ["The Barley Loft (rolled)"]
    assert "1 song" in page


def test_songs_are_filtered_by_a_technique_and_show_what_they_use(visitor):
    page = visitor.get("/?uses=backward+roll&words=attic").text
    assert titles_in(page) == ["Attic Window"]
    assert "backward roll, forward-reverse roll, open G tuning, pinch" in page
    assert "<option selected>backward roll</option>" in page


def test_a_song_says_in_which_measures_it_uses_what(visitor):
    page = visitor.get("/songs/attic-window").text
    assert typeset("backward roll (measures 1-5, 9-13), forward-reverse roll (measure 15)") in page
    assert "Why level" not in page  # its teacher gave it one


def test_a_song_without_a_level_says_why_one_is_suggested(owner, own_catalogue):
    with open_catalogue(own_catalogue) as catalogue:
        add_songs(catalogue, [SONGBOOK / "warm_ups.abc"])
    page = owner.get("/songs/evening-scales").text
    assert "level 2 (estimated)" in page
    assert "leaps 1 of 5: 2% of the steps wider than a third" in page
    listed = owner.get("/?level=2&estimated=1").text
    assert "Evening Scales" in titles_in(listed)
    assert 'name="estimated" value="1" checked' in listed


def test_a_page_past_the_last_shows_the_last(visitor):
    assert "page 2 of 2" in visitor.get("/?page=99&sort=title").text


def test_a_song_is_shown_with_staff_tab_form_and_ticks_for_its_measures(visitor):
    page = visitor.get("/songs/cinder-path").text
    assert "<h1>Cinder Path</h1>" in page
    assert 'aria-label="Staff and tab of Cinder Path' in page
    assert f"Form, with measures: A ({range_in_print('1-2')})" in page
    assert page.count('name="measure"') == 16


def test_the_nearest_songs_are_those_that_the_command_lists(visitor, songbook):
    with open_catalogue(songbook) as catalogue:
        expected = [near.title for near in nearest_songs(catalogue, "the-barley-loft", limit=10)]
    shown = titles_in(visitor.get("/songs/the-barley-loft/near").text)
    assert [title.replace("&#39;", "'") for title in shown] == expected


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("weir", ["Weir in Spate"]),
        ("BARLEY", ["The Barley Loft", "The Barley Loft (rolled)"]),
        ("no such song", []),
        ("", []),
    ],
)
def test_titles_are_suggested_by_a_part_of_them(visitor, words, names):
    assert visitor.get("/titles", params={"words": words}).json() == names


def test_a_typed_name_leads_to_its_song(visitor):
    answer = visitor.get("/songs?name=Weir")
    assert answer.headers["location"] == "/songs/weir-in-spate"


@pytest.mark.parametrize(
    ("path", "status", "sentence"),
    [
        ("/songs/no-such-song", 404, "No song has the id"),
        ("/songs/..%2f..%2fetc%2fpasswd", 404, "There is no such page"),
        ("/static/..%2fapp.py", 404, "There is no such page"),
        ("/nowhere", 404, "There is no such page"),
        ("/jobs/999", 404, "not kept any more"),
        ("/?sort=colour", 400, "cannot be sorted by"),
        ("/?level=high", 400, "is not a level"),
        ("/?level=9", 404, "No song has level 9 in the catalogue; its levels: 1, 2, 3, 4, 5, 6."),
        ("/?words=nowhere", 404, "No title has the word"),
        ("/find?form=notes&text=D4+E4&tag=nope", 404, "No song has the tag"),
        ("/?page=-1", 400, "is not valid for"),
        ("/find?form=notes&text=H9", 400, "H9"),
        ("/find?song=cinder-path", 400, "No measures are chosen"),
        ("/find?form=drum&text=x", 400, "not a form that a lick can be typed in"),
        ("/find?form=file&text=lick.abc", 400, "not a form that a lick can be typed in"),
        ("/find?form=kept&text=nothing", 404, "There is no kept lick called"),
        ("/compare?a=barley&b=weir", 404, "may mean any of 2 songs"),
    ],
)
def test_a_mistake_is_shown_as_its_sentence_and_a_next_step(visitor, path, status, sentence):
    answer = visitor.get(path)
    assert answer.status_code == status
    assert sentence in answer.text
    assert "Next:" in answer.text
    assert "Traceback" not in answer.text


def test_fifty_requests_at_once_are_all_answered(visitor):
    paths = [*PAGES[:5], "/songs/unlatched", "/songs/unlatched/near", *PAGES[-5:-2]] * 5
    with ThreadPoolExecutor(50) as threads:
        answers = list(threads.map(visitor.get, paths))
    assert [answer.status_code for answer in answers] == [200] * 50


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("/compare?a=cinder-path&b=unlatched", {"a": "Cinder Path", "b": "Unlatched"}),
        ("/place?into=unlatched", {"into": "Unlatched"}),
        ("/place?into=unlatched&song=cinder-path&measure=5", {"into": "Unlatched"}),
    ],
)
def test_a_form_shows_titles_where_an_address_has_ids(visitor, path, fields):
    page = visitor.get(path).text
    for name, title in fields.items():
        assert f'name="{name}" value="{title}"' in page


def test_a_title_that_several_songs_have_does_not_stand_for_one_of_them(owner):
    for collection in ("autumn", "spring"):
        owner.outcome(send(owner, ("a.abc", TUNE.format(title="Weir")), collection=collection))
    page = owner.get("/place?into=weir-2").text
    assert 'name="into" value="weir-2"' in page


def test_songs_are_not_sorted_by_ids_that_nobody_sees(visitor):
    assert ">id</option>" not in visitor.get("/").text


@pytest.mark.parametrize(
    ("path", "result"),
    [
        ("/find?form=notes&text=D4+E4+G4", 'id="results"'),
        ("/find?form=shape&text=step+up,+same,+down", 'id="results"'),
        ("/place?into=unlatched&song=cinder-path&measure=5", 'id="places"'),
        ("/compare?a=cinder-path&b=unlatched", "<h2>Cinder Path"),
    ],
)
def test_results_stand_before_their_form_which_is_folded_up(visitor, path, result):
    before, found, _ = visitor.get(path).text.partition(result)
    assert found
    _, _, folded = before.partition('<details class="screen"><summary>')
    assert "<form" in folded
    assert folded.index("<form") < folded.rindex("</details>")
