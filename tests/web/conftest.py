"""A server of the songbook for all tests; each that writes has one of a catalogue of its own."""

import pytest

from melodex.finder.collection.demo import add_songbook
from melodex.finder.collection.open_catalogue import open_catalogue
from tests.web.serving import SITES, Visitor, served


@pytest.fixture(autouse=True)
def no_work_left():
    """Stop what a test left running, since a site does little at once."""
    yield
    for site in SITES:
        for job in site.jobs.running():
            job.stop()


@pytest.fixture(scope="session")
def songbook(tmp_path_factory):
    """A catalogue of the songbook, which tests only read."""
    path = tmp_path_factory.mktemp("songbook") / "songs.db"
    with open_catalogue(path) as catalogue:
        add_songbook(catalogue)
    return path


@pytest.fixture(scope="session")
def address(songbook):
    """The address at which the songbook is served."""
    with served(songbook) as address:
        yield address


@pytest.fixture
def visitor(address):
    """A visitor of the songbook."""
    visitor = Visitor(address)
    yield visitor
    visitor.close()


@pytest.fixture
def own_catalogue(tmp_path):
    """A catalogue without songs."""
    path = tmp_path / "own.db"
    open_catalogue(path).close()
    return path


@pytest.fixture
def owner(own_catalogue):
    """A visitor of a site whose catalogue nobody else uses."""
    with served(own_catalogue) as address:
        visitor = Visitor(address)
        yield visitor
        visitor.close()
