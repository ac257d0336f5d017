"""What songs are called where people read."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.song_labels import song_labels
from melodex.index.store import open_catalogue


@pytest.fixture
def labels_of(tmp_path):
    """Label the tunes of some books, each a folder with the titles in it."""

    def labels(**books):
        for book, titles in books.items():
            (tmp_path / book).mkdir()
            tunes = [
                f"X:{n}\nT:{title}\nL:1/8\nK:G\n{'GABc ' * n}G4|\n"
                for n, title in enumerate(titles, start=1)
            ]
            (tmp_path / book / "tunes.abc").write_text("\n".join(tunes), encoding="utf-8")
        with open_catalogue(tmp_path / "songs.db", create=True) as catalogue:
            add_songs(catalogue, [tmp_path / book for book in books])
            return song_labels(catalogue)

    return labels


def test_a_title_alone_is_enough_where_no_other_song_has_it(labels_of):
    assert sorted(labels_of(reels=["Gate", "Mill"]).values()) == ["Gate", "Mill"]


def test_two_songs_of_one_title_are_distinguished_by_their_collections(labels_of):
    labels = labels_of(reels=["Gate"], waltzes=["gate", "Mill"])
    assert sorted(labels.values()) == ["Gate (reels)", "Mill", "gate (waltzes)"]


def test_two_songs_of_one_title_in_one_collection_are_numbered_and_no_id_is_shown(labels_of):
    labels = labels_of(reels=["Gate", "Gate"])
    assert list(labels.values()) == ["Gate (reels, no. 1)", "Gate (reels, no. 2)"]
