"""Shared fixtures for tests of the catalogue."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from melodex.index.store import Catalogue, open_catalogue


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "songs.melodex", create=True) as opened:
        yield opened
