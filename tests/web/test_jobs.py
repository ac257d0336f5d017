"""Long work: it reports its progress, can be stopped, and fails with a sentence."""

import os
import time

import pytest

from melodex.errors import MelodexError
from melodex.web.job_process import Progress
from melodex.web.jobs import MOST_AT_ONCE, MOST_KEPT, Jobs, State
from melodex.web.refusals import Refusal

LONGEST_WAIT = 60.0  # seconds; a busy machine must not turn a test false


def sleep(desk, seconds):
    """Tell that it is half done, then sleep."""
    desk.report(Progress("half way", 0.5))
    time.sleep(seconds)


def count(desk, songs):
    """Count songs, and print, as libraries do."""
    print("a library speaks")  # noqa: T201
    return len(desk.catalogue.song_ids()) + songs


def fail(desk):  # noqa: ARG001
    """Fail as work on a user's data does."""
    raise MelodexError("The weir is shut.", "open it.")


def die(desk):  # noqa: ARG001
    """Die as a process does that has no memory left."""
    os._exit(3)


@pytest.fixture
def jobs(own_catalogue):
    jobs = Jobs(own_catalogue)
    yield jobs
    jobs.close()


def wait_for(condition):
    deadline = time.monotonic() + LONGEST_WAIT
    while not condition():
        assert time.monotonic() < deadline
        time.sleep(0.01)


def ended(job):
    wait_for(lambda: not job.is_running)
    return job


def test_work_that_is_done_leaves_its_result(jobs):
    job = ended(jobs.start(count, "count", "Counting", {"songs": 2}))
    assert (job.standing.state, job.standing.result) == (State.DONE, 2)
    assert jobs.latest("count") is job


def test_work_reports_its_progress(jobs):
    job = jobs.start(sleep, "sleep", "Sleeping", {"seconds": LONGEST_WAIT})
    wait_for(lambda: job.standing.progress == Progress("half way", 0.5))


def test_stopping_ends_the_process_itself(jobs):
    job = jobs.start(sleep, "sleep", "Sleeping", {"seconds": LONGEST_WAIT})
    wait_for(lambda: job.standing.progress.share)
    job.stop()
    assert job.process.wait(LONGEST_WAIT) != 0
    assert job.standing.state is State.STOPPED
    assert jobs.latest("sleep") is None


def test_work_that_is_over_cannot_be_stopped_any_more(jobs):
    job = ended(jobs.start(count, "count", "Counting", {"songs": 0}))
    job.stop()
    assert job.standing.state is State.DONE


def test_work_that_fails_leaves_its_sentence(jobs):
    job = ended(jobs.start(fail, "fail", "Failing", {}))
    assert job.standing.state is State.FAILED
    assert str(job.standing.error) == "The weir is shut.\nNext: open it."


def test_work_whose_process_dies_says_so(jobs):
    job = ended(jobs.start(die, "die", "Dying", {}))
    assert job.standing.state is State.FAILED
    assert "exit code 3" in job.standing.error.problem


def test_more_work_than_the_machine_can_bear_is_refused(jobs):
    for _ in range(MOST_AT_ONCE):
        jobs.start(sleep, "sleep", "Sleeping", {"seconds": LONGEST_WAIT})
    with pytest.raises(Refusal, match="running already"):
        jobs.start(sleep, "sleep", "Sleeping", {"seconds": 0})


def test_closing_ends_what_is_running_and_clears_its_files_away(own_catalogue):
    jobs = Jobs(own_catalogue)
    job = jobs.start(sleep, "sleep", "Sleeping", {"seconds": LONGEST_WAIT})
    folder = job.folder
    jobs.close()
    assert job.process.poll() is not None
    assert not folder.exists()


def test_old_work_is_forgotten_and_its_page_says_so(jobs):
    assert MOST_KEPT >= MOST_AT_ONCE
    with pytest.raises(Refusal, match="not kept"):
        jobs.job(99)
