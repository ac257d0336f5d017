"""What is fitted once a state of a catalogue, and how it is kept."""

from dataclasses import replace

import pytest

from melodex.errors import CatalogueError
from melodex.index.blocks import Blocks, lay_side_by_side
from melodex.index.song_arrays import join_performances, perform
from melodex.significance.chance import chance_of, fit_chance
from melodex.significance.chance_of_phrases import (
    PhraseChance,
    chance_of_phrases,
    fit_chance_of_phrases,
)
from melodex.significance.chance_of_songs import chance_of_songs, fit_chance_of_songs
from melodex.significance.kept_models import SEED, kept_model
from tests.blocks import blocks_of
from tests.bundled import short_songs

KINDS = {
    "chance.json": (chance_of, fit_chance),
    "chance_of_songs.json": (chance_of_songs, fit_chance_of_songs),
    "chance_of_phrases.json": (chance_of_phrases, fit_chance_of_phrases),
}


def some_blocks(folder) -> Blocks:
    """Lay out 25 short tunes of a bundled book."""
    chosen = short_songs("ryansMammoth")[:25]
    songs = join_performances([perform(song.melody, song.sections) for song in chosen])
    ids = tuple(f"{number:02}" for number in range(len(chosen)))
    return Blocks(ids, songs, lay_side_by_side(songs.intervals, songs.first_intervals), folder)


@pytest.mark.parametrize(("name", "kind"), KINDS.items())
def test_a_model_is_fitted_once_and_read_again_where_it_is_kept(name, kind, tmp_path):
    kept, fit = kind
    blocks = some_blocks(tmp_path)
    model = kept(blocks)
    assert model == fit(blocks.songs, SEED)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    too_few = blocks_of([60, 62, 64])
    assert kept(too_few) is None
    assert kept(replace(too_few, folder=tmp_path)) == model


def test_a_folder_that_is_gone_is_told_in_one_sentence(tmp_path):
    with pytest.raises(CatalogueError, match=r"Cannot write the chance levels .*gone"):
        kept_model(
            replace(blocks_of([60, 62]), folder=tmp_path / "gone"),
            "chance.json",
            lambda _, seed: PhraseChance(rate=1.0, factor=float(seed)),
            lambda plain: PhraseChance(**plain),
        )
