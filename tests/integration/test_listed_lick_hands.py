"""A recurring lick that stands in tab is listed, and can be kept, with its hands."""

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.keeping_licks import keep_lick, kept_lick
from melodex.finder.recurring_licks import recurring_licks
from melodex.index.store import open_catalogue
from tests.songbook import SONGBOOK


def test_a_listed_lick_from_tab_is_kept_with_a_place_for_every_note(tmp_path):
    with open_catalogue(tmp_path / "songs", create=True) as catalogue:
        add_songs(catalogue, [*SONGBOOK.glob("*.musicxml")])
        assert recurring_licks(catalogue, limit=1)
        listed = keep_lick(catalogue, "first", 1)
        kept = kept_lick(catalogue, "first")
    assert listed.hands is not None
    assert kept.hands == listed.hands
    assert {note.onset for note in kept.hands.notes} == {*kept.melody.onsets.tolist()}
