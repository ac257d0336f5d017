"""What is fitted once a state of a catalogue, and how it is kept."""

import shutil
from dataclasses import replace

import pytest

from melodex.index.blocks import ARRAYS_FILE, Blocks, lay_side_by_side
from melodex.index.derived_files import DerivedFiles
from melodex.index.song_arrays import join_performances, perform
from melodex.significance.chance import chance_of, fit_chance
from melodex.significance.chance_of_phrases import (
    PhraseChance,
    chance_of_phrases,
    fit_chance_of_phrases,
)
from melodex.significance.chance_of_songs import chance_of_songs, fit_chance_of_songs
from melodex.significance.kept_models import SEED, kept_model
from tests.blocks_of_songs import blocks_of
from tests.bundled import short_songs

KINDS = {
    "chance_of_matches.json": (chance_of, fit_chance),
    "chance_of_songs.json": (chance_of_songs, fit_chance_of_songs),
    "chance_of_phrases.json": (chance_of_phrases, fit_chance_of_phrases),
}


def some_blocks(folder) -> Blocks:
    """Lay out 25 short tunes of a bundled book, as a catalogue's arrays are kept."""
    chosen = short_songs("ryansMammoth")[:25]
    songs = join_performances([perform(song.melody, song.sections) for song in chosen])
    ids = tuple(f"{number:02}" for number in range(len(chosen)))
    catalogue = folder / "songs"
    catalogue.touch()
    files = DerivedFiles(catalogue, "10-ab")
    files.write(ARRAYS_FILE, [b"arrays"])
    return Blocks(ids, songs, lay_side_by_side(songs.intervals, songs.first_intervals), files)


@pytest.mark.parametrize(("name", "kind"), KINDS.items())
def test_a_model_is_fitted_once_and_read_again_where_it_is_kept(name, kind, tmp_path):
    kept, fit = kind
    blocks = some_blocks(tmp_path)
    model = kept(blocks)
    assert model == fit(blocks.songs, SEED)
    too_few = blocks_of([60, 62, 64])
    assert kept(too_few) is None
    assert kept(replace(too_few, files=blocks.files)) == model
    assert {path.name for path in tmp_path.glob("songs.arrays/*/*")} == {ARRAYS_FILE, name}


def kept_number(blocks, factor):
    """Keep a model that says by its factor when it was fitted."""
    model = kept_model(
        blocks,
        "chance_of_matches.json",
        lambda _, seed: PhraseChance(rate=seed, factor=factor),
        lambda plain: PhraseChance(**plain),
    )
    return model and model.factor


@pytest.mark.parametrize("content", [b"", b"{", b'{"rate": 1.0}\n', b"\xff" * 100])
def test_a_damaged_model_is_fitted_again(content, tmp_path):
    blocks = some_blocks(tmp_path)
    assert kept_number(blocks, 1.0) == 1.0
    (file,) = tmp_path.rglob("chance_of_matches.json")
    for damaged in (content, file.read_bytes()[:-3]):
        file.write_bytes(damaged)
        assert kept_number(blocks, 2.0) == 2.0
        assert kept_number(blocks, 3.0) == 2.0
        file.unlink()


def test_a_model_of_a_state_that_is_over_is_not_kept(tmp_path):
    blocks = some_blocks(tmp_path)
    shutil.rmtree(tmp_path / "songs.arrays")  # as another process does that has added songs
    assert kept_number(blocks, 1.0) == 1.0
    assert not (tmp_path / "songs.arrays").exists()
