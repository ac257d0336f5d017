"""melodex installed where its user may not write, for a user without a home."""

import os
import shutil
import sys

import pytest

from tests.ordinary_user import ORDINARY_USER, ROOT, open_folder, run_as_an_ordinary_user

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="has other permissions")

UNKNOWN_USER = 54_321
NO_HOME = "/nonexistent"  # as Debian gives to users without one
DECORATE_ONE_KERNEL = "import melodex.kernels.subsequence_dtw"


@pytest.fixture
def package():
    """A copy of the package that an ordinary user may only read."""
    with open_folder() as folder:
        shutil.copytree(
            ROOT / "melodex", folder / "melodex", ignore=shutil.ignore_patterns("__pycache__")
        )
        shutil.copytree(ROOT / "corpus" / "songbook", folder / "melodex" / "songbook")
        for path in folder.rglob("*"):
            path.chmod(0o555 if path.is_dir() else 0o444)
        folder.chmod(0o555)
        yield folder
        folder.chmod(0o755)


def test_the_demo_and_a_search_run_where_only_temporary_files_may_be_written(package):
    with open_folder() as temporary:

        def run(*arguments):
            return run_as_an_ordinary_user(
                *("-m", "melodex", *arguments),
                package=package,
                HOME=NO_HOME,
                TMPDIR=str(temporary),
            )

        demo = run("demo")
        (catalogue,) = temporary.glob("melodex-*/demo.db")
        find = run("find", "--degrees", "3 5 6 5 3 2 1", "--catalogue", str(catalogue), "--json")
    assert (demo.returncode, find.returncode) == (0, 0)
    assert "57 invented songs" in demo.stdout
    assert demo.stderr.count("Compiled kernels are stored in") == 1
    assert find.stdout.startswith("[")
    assert find.stderr == ""


def test_an_own_catalogue_that_can_be_written_nowhere_is_one_sentence(package):
    with open_folder() as temporary:
        done = run_as_an_ordinary_user(
            *("-m", "melodex", "add", "--bundled", "airdsAirs"),
            package=package,
            HOME=NO_HOME,
            TMPDIR=str(temporary),
        )
    assert done.returncode == 1
    assert "Permission denied" in done.stderr
    assert "--catalogue or in MELODEX_CATALOGUE" in done.stderr


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser can play another user")
def test_a_user_whom_the_system_does_not_know_needs_to_name_a_catalogue(package):
    with open_folder() as temporary:
        done = run_as_an_ordinary_user(
            *("-m", "melodex", "add", "--bundled", "airdsAirs"),
            package=package,
            user=UNKNOWN_USER,
            TMPDIR=str(temporary),
        )
    assert done.returncode == 1
    assert done.stderr.startswith("You have no home folder for a catalogue to be in.")


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser can play another user")
@pytest.mark.parametrize(("owner", "mode"), [(ORDINARY_USER, 0o777), (0, 0o700)])
def test_kernels_are_not_kept_in_a_folder_that_others_own_or_may_change(package, owner, mode):
    with open_folder() as temporary:
        prepared = temporary / f"melodex-{ORDINARY_USER}"
        prepared.mkdir()
        prepared.chmod(mode)
        os.chown(prepared, owner, owner)
        done = run_as_an_ordinary_user(
            *("-c", DECORATE_ONE_KERNEL), package=package, HOME=NO_HOME, TMPDIR=str(temporary)
        )
        assert list(prepared.iterdir()) == []
    assert done.returncode == 0
    assert done.stderr.count("Compiled kernels cannot be stored") == 1


def test_the_folder_that_the_user_names_for_kernels_is_used(package):
    with open_folder() as named, open_folder() as temporary:
        done = run_as_an_ordinary_user(
            *("-c", "from melodex.kernels.pair_alignment import best_scores as kernel"),
            package=package,
            HOME=NO_HOME,
            TMPDIR=str(temporary),
            NUMBA_CACHE_DIR=str(named),
        )
        assert list(named.iterdir())
        assert not list(temporary.iterdir())
    assert (done.returncode, done.stderr) == (0, "")
