"""From a plain tune to its arrangement in rolls, and back, by searching the songbook."""

from pathlib import Path
from typing import Any

import pytest

from melodex.finder.arrange_song import arrange_song
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.find_lick import find_lick
from melodex.finder.tab_of_song import write_tab
from melodex.index.store import Catalogue, open_catalogue
from melodex.model.lick import Lick
from melodex.search.query import lick_from_file, lick_from_song
from tests.songbook import SONGBOOK, TERMS, TRUTH
from tests.tabs import rolled_songs

# Of plain tunes that the songbook has no arrangement of.
ARRANGED = ("Coal Barge Waltz", "The Marrow Competition", "Thimble and Thread")
# In each stage, and in a roll that is named, whose notes are then pinched with the melody's.
FORMS: tuple[dict[str, Any], ...] = (
    {},
    {"stage": "pinches"},
    {"stage": "roll"},
    {"roll": "alternating-thumb"},
    {"roll": "backward"},
)
ARRANGED_BY_HAND = tuple(pair["plain"] for pair in TRUTH["pair"])
# One of the tunes begins as another does, note for note for eight measures.
THE_WHOLE_TUNE = (0, 99)


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """The plain tunes of the songbook."""
    with open_catalogue(tmp_path_factory.mktemp("plain") / "songs.db", create=True) as opened:
        add_songs(opened, [SONGBOOK / book for book in TERMS])
        yield opened


@pytest.fixture(scope="module")
def files(plain, tmp_path_factory):
    """The file of each tune's arrangement: some that `arrange` makes, and those made by hand."""
    folder = tmp_path_factory.mktemp("arranged")
    made = {title: folder / f"{title}.musicxml" for title in ARRANGED}
    for title, path in made.items():
        write_tab(arrange_song(plain, title), path)
    return made | {
        song.title.removesuffix(" (rolled)"): Path(song.source.file) for song in rolled_songs()
    }


@pytest.mark.parametrize("form", FORMS, ids=str)
@pytest.mark.parametrize("title", [*ARRANGED, *ARRANGED_BY_HAND[:3]])
def test_every_form_of_an_arrangement_finds_its_plain_tune_first(plain, title, form, tmp_path):
    path = tmp_path / "arranged.musicxml"
    write_tab(arrange_song(plain, title, **form), path)
    assert first_match(plain, lick_from_file(path)) == title


@pytest.fixture(scope="module")
def everything(files, tmp_path_factory):
    """Plain tunes and arrangements in one catalogue."""
    with open_catalogue(tmp_path_factory.mktemp("all") / "songs.db", create=True) as opened:
        add_songs(opened, [*(SONGBOOK / book for book in TERMS), *files.values()])
        yield opened


def first_match(catalogue: Catalogue, lick: Lick, *, besides: str = "") -> str:
    """The title of the best match."""
    matches = find_lick(catalogue, lick, limit=2)
    return next(match.title for match in matches if match.title != besides)


@pytest.mark.parametrize("title", [*ARRANGED, *ARRANGED_BY_HAND])
def test_a_plain_tune_finds_its_arrangement_first(everything, title):
    (song,) = (song for song, other in everything.titles() if other == title)
    lick = lick_from_song(everything, song, measures=THE_WHOLE_TUNE)
    assert first_match(everything, lick, besides=title).startswith(f"{title} (")


@pytest.mark.parametrize("title", [*ARRANGED, *ARRANGED_BY_HAND])
def test_an_arrangement_finds_its_plain_tune_first(plain, files, title):
    assert first_match(plain, lick_from_file(files[title])) == title
