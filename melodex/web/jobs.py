"""Long work: each piece in a process of its own, which tells how far it is and can be stopped.

A thread could not be stopped. A process is ended by the system whatever it is doing, and a
catalogue stays sound when that happens.
"""

import contextlib
import pickle
import secrets
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import IO, Any, cast

from melodex.errors import MelodexError
from melodex.web.job_process import Progress, Request, Work
from melodex.web.refusals import NOT_FOUND, UNAVAILABLE, Refusal

MOST_AT_ONCE = 2  # more would only wait for each other on a teacher's machine
JUST_BEGUN = Progress("starting")
_RUN_BYTES = 4  # one start in four thousand million has the name of another
MOST_KEPT = 30  # of those that have ended, with what they found


class State(StrEnum):
    """How a job stands."""

    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Standing:
    """How a job stands at one moment."""

    state: State
    progress: Progress = JUST_BEGUN
    result: Any = None  # of one that is done
    error: MelodexError | None = None  # of one that has failed
    ended: float | None = None  # by the clock of `time.monotonic`


class Job:
    """One piece of long work.

    Parameters
    ----------
    name : str
        Its own among the jobs of this and of every other start of a server.
    number : int
        Its place among the jobs of this server.
    kind : str
        What is done, "licks" or "lessons"; it chooses the page that shows the result.
    title : str
        The same in words.
    keywords : mapping
        The keywords that the work is given.
    folder : Path
        For files that it makes.
    """

    def __init__(
        self,
        name: str,
        number: int,
        kind: str,
        title: str,
        keywords: Mapping[str, Any],
        folder: Path,
    ) -> None:
        self.name, self.number = name, number
        self.kind, self.title = kind, title
        self.keywords, self.folder = keywords, folder
        self.began = time.monotonic()
        self.process = _start()
        self._standing = Standing(State.RUNNING)
        self._lock = threading.Lock()
        self._over = threading.Event()

    @property
    def standing(self) -> Standing:
        """How it stands now; a page asks once, since it may change meanwhile."""
        return self._standing

    @property
    def is_running(self) -> bool:
        """Whether it goes on."""
        return self._standing.state is State.RUNNING

    @property
    def address(self) -> str:
        """The page that shows it."""
        return f"/jobs/{self.name}"

    @property
    def seconds(self) -> float:
        """How long it has run."""
        return (self._standing.ended or time.monotonic()) - self.began

    def move(self, standing: Standing) -> None:
        """Write down how it stands now; what has ended stays as it ended."""
        with self._lock:
            if self.is_running:
                self._standing = standing
            if not self.is_running:
                self._over.set()

    def wait(self, seconds: float) -> None:
        """Wait for its end, but not for longer."""
        self._over.wait(seconds)

    def stop(self) -> None:
        """End it at once; one that has ended stays as it is."""
        self.move(Standing(State.STOPPED, ended=time.monotonic()))
        if self._standing.state is State.STOPPED:
            self.process.kill()


class Jobs:
    """The jobs of one server.

    Parameters
    ----------
    catalogue : Path
        The catalogue's file, which every job opens for itself.
    """

    def __init__(self, catalogue: Path) -> None:
        self._catalogue = catalogue
        self._passing = tempfile.TemporaryDirectory(prefix="melodex-", ignore_cleanup_errors=True)
        self._jobs: dict[str, Job] = {}
        self._run = secrets.token_hex(_RUN_BYTES)  # so that an old address never means a new job
        self._count = 0
        self._lock = threading.Lock()

    def start(
        self,
        work: Work,
        kind: str,
        title: str,
        keywords: Mapping[str, Any],
        *,
        prepare: Callable[[], object] = lambda: None,
    ) -> Job:
        """Start a piece of work with keywords.

        Parameters
        ----------
        prepare : callable
            Called once the work is accepted and before it starts; where it raises, nothing starts.

        Raises
        ------
        Refusal
            If there are too many already.
        """
        with self._lock:
            if len(self.running()) >= MOST_AT_ONCE:
                raise Refusal(
                    f"{MOST_AT_ONCE} pieces of long work are running already.",
                    "wait until one has ended, or stop it on its page.",
                    status=UNAVAILABLE,
                )
            prepare()
            self._count += 1
            folder = Path(self._passing.name) / str(self._count)
            folder.mkdir()
            name = f"{self._run}-{self._count}"
            job = Job(name, self._count, kind, title, keywords, folder)
            self._jobs[name] = job
            self._forget_old()
        threading.Thread(target=_listen, args=(job, self._catalogue, work), daemon=True).start()
        return job

    def job(self, name: str) -> Job:
        """Return a job by its name.

        Raises
        ------
        Refusal
            If it is not, or no longer, there.
        """
        try:
            return self._jobs[name]
        except KeyError:
            raise Refusal(
                "This work is not kept any more.",
                "begin it again.",
                status=NOT_FOUND,
            ) from None

    def all(self) -> list[Job]:
        """List the jobs, the latest first."""
        return sorted(self._jobs.values(), key=lambda job: -job.number)

    def running(self) -> list[Job]:
        """List the jobs that go on."""
        return [job for job in self.all() if job.is_running]

    def latest(self, kind: str) -> Job | None:
        """Return the latest of a kind that is done."""
        done = (job for job in self.all() if job.kind == kind and job.standing.state is State.DONE)
        return next(done, None)

    def close(self) -> None:
        """End what is running and clear its files away."""
        for job in self.all():
            job.stop()
            job.process.wait()
        self._passing.cleanup()

    def _forget_old(self) -> None:
        ended = [job.name for job in self.all() if not job.is_running]
        for name in ended[MOST_KEPT:]:
            del self._jobs[name]


def _start() -> subprocess.Popen[bytes]:
    program = (
        f"import sys; sys.path[:] = {sys.path!r}; "
        "from melodex.web.job_process import perform; perform()"
    )
    return subprocess.Popen(  # noqa: S603 - runs this very Python
        [sys.executable, "-c", program],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,  # Ctrl-C is for the server, which stops the others
    )


def _listen(job: Job, catalogue: Path, work: Work) -> None:
    """Ask a process for its work, and write down what it tells until it ends."""
    requests = cast("IO[bytes]", job.process.stdin)
    messages = cast("IO[bytes]", job.process.stdout)
    # Leaving it closes the pipes, one of which may still hold what nobody is there to read.
    with contextlib.suppress(BrokenPipeError), job.process:
        try:
            request: Request = (work, catalogue, job.folder, job.keywords)
            requests.write(pickle.dumps(request))
            requests.flush()
            while job.is_running:
                _take(job, pickle.load(messages))  # noqa: S301 - from a process of ours
        except (OSError, EOFError, pickle.UnpicklingError):
            _take(job, _death_of(job.process))


def _death_of(process: subprocess.Popen[bytes]) -> MelodexError:
    return MelodexError(
        f"The process that did this work has died (exit code {process.wait()}).",
        "begin it again; if it dies again, there may be too little memory.",
    )


def _take(job: Job, message: object) -> None:
    """Write one message down: how far it is, why it failed, or what was found."""
    now = time.monotonic()
    if isinstance(message, Progress):
        job.move(Standing(State.RUNNING, message))
    elif isinstance(message, MelodexError):
        job.move(Standing(State.FAILED, error=message, ended=now))
    else:
        (result,) = cast("tuple[object]", message)
        job.move(Standing(State.DONE, result=result, ended=now))
