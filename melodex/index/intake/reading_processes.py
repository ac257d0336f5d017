"""Read files in processes beside this one, so that a bad file costs only itself.

A file that takes too long, takes too much memory or crashes its reader ends one process, and is a
failure. Neither an alarm nor a thread can do that: they do not stop a loop in compiled code.

The standard library's process pools give up all work when one process dies, leave processes
behind when they are killed themselves, and run the user's own script again on some systems. A
process here is a plain Python that answers one request after the other, and ends with its input.
"""

import contextlib
import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Generator, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from types import TracebackType
from typing import IO, cast

from melodex.index.intake.file_records import (
    FileReader,
    FileRecord,
    failed_record,
    record_file,
    size_of,
)
from melodex.index.intake.reading_limits import MOST_MEMORY, ONE_THREAD, limit_memory, seconds_for
from melodex.parsing.corpus_walk import MusicFile

# Below this one process reads all before a second would have started: the own ABC reader reads
# about 1 MB a second, a process starts in about 0.2 s.
WORTH_A_SECOND_PROCESS = 200_000  # bytes
OUT_OF_MEMORY = 77  # exit code of a process that has come to its limit
# Files read ahead of the slowest; bounds what waits in memory to be written.
LONGEST_QUEUE = 64


def records_of(files: Sequence[MusicFile], read: FileReader) -> Generator[FileRecord]:
    """Yield what was read from each file, in the files' order.

    This is the way to read a stranger's file: a file that breaks the limits of
    `reading_limits`, or kills its reader, is a failure like any other.

    Parameters
    ----------
    read : FileReader
        A function that other processes can import.
    """
    is_much = sum(map(size_of, files)) >= WORTH_A_SECOND_PROCESS
    workers = min(usable_processors() if is_much else 1, len(files))
    if workers:
        with ReadingProcesses(read, workers) as processes:
            yield from processes.records(files)


class ReadingProcesses:
    """Processes that each read one file at a time; use it in a ``with`` block.

    Parameters
    ----------
    read : FileReader
        A function that other processes can import.
    workers : int
        How many processes; each is started when it is first needed.
    """

    def __init__(self, read: FileReader, workers: int) -> None:
        self._read = read
        self._threads = ThreadPoolExecutor(workers)
        self._idle: queue.SimpleQueue[_ReadingProcess] = queue.SimpleQueue()
        self._processes = [_ReadingProcess() for _ in range(workers)]
        for process in self._processes:
            self._idle.put(process)

    def __enter__(self) -> "ReadingProcesses":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self._threads.shutdown(wait=False, cancel_futures=True)
        for process in self._processes:
            process.kill()
        self._threads.shutdown(wait=True)
        for process in self._processes:
            process.release()

    def records(self, files: Sequence[MusicFile]) -> Iterator[FileRecord]:
        """Yield what was read from each file, in the files' order."""
        waiting: deque[Future[FileRecord]] = deque()
        for file in files:
            waiting.append(self._threads.submit(self._record, file))
            if len(waiting) >= LONGEST_QUEUE:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()

    def _record(self, file: MusicFile) -> FileRecord:
        process = self._idle.get()
        try:
            return process.ask(self._read, file)
        finally:
            self._idle.put(process)


class _ReadingProcess:
    """One process; started when it is first asked, and anew after it has died."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None

    def ask(self, read: FileReader, file: MusicFile) -> FileRecord:
        """Have a file read; a process that dies over it is a failure of that file."""
        seconds = seconds_for(size_of(file))
        too_late = threading.Event()
        try:
            self._process = self._process or _start()
            with _killed_after(seconds, self._process, too_late):
                record = _answer(self._process, read, file)
        except (OSError, EOFError, pickle.UnpicklingError):
            cause = self._cause_of_death()
            if too_late.is_set():
                cause = f"it took longer than {seconds:.0f} seconds to read"
            return failed_record(file, cause)
        if too_late.is_set():  # the answer came just before the end of the process
            self.release()
        return record

    def kill(self) -> None:
        """Stop the process at once, whatever it is doing."""
        if self._process:
            self._process.kill()

    def release(self) -> None:
        """Close what is left of a process that has been stopped."""
        process, self._process = self._process, None
        if process:
            with contextlib.suppress(BrokenPipeError), process:  # closes its pipes and waits
                process.kill()

    def _cause_of_death(self) -> str:
        process = self._process
        if process is None:
            return "no process could be started to read it"
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(timeout=1.0)  # seconds; it has closed its output, so it is ending
        self.release()
        if process.returncode == OUT_OF_MEMORY:
            return f"reading it needs more than {MOST_MEMORY // 2**20} MB of memory"
        if process.returncode < 0:
            name = signal.Signals(-process.returncode).name
            return f"the process reading it was stopped by {name}, perhaps for want of memory"
        return f"the process reading it ended with exit code {process.returncode}"


def answer_requests() -> None:
    """Read the files asked for on standard input until it ends; what a process runs."""
    # Whatever a library prints must not get between the answers.
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    limit_memory()
    while True:
        try:
            read, file = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the process that began us
        except EOFError:
            return
        try:
            answer = pickle.dumps(record_file(read, file))
        except MemoryError:
            os._exit(OUT_OF_MEMORY)  # at once, since ending in order needs memory too
        answers.write(answer)
        answers.flush()


def usable_processors() -> int:
    """Count the processors that this process may use."""
    if sys.version_info >= (3, 13):
        return os.process_cpu_count() or 1
    elif sys.platform == "linux":  # noqa: RET505 - the type checkers follow a chain only
        return len(os.sched_getaffinity(0))
    else:
        return os.cpu_count() or 1


def _answer(process: subprocess.Popen[bytes], read: FileReader, file: MusicFile) -> FileRecord:
    requests = cast("IO[bytes]", process.stdin)
    answers = cast("IO[bytes]", process.stdout)
    requests.write(pickle.dumps((read, file)))
    requests.flush()
    record: FileRecord = pickle.load(answers)  # noqa: S301 - from a process of ours
    return record


@contextlib.contextmanager
def _killed_after(
    seconds: float, process: subprocess.Popen[bytes], too_late: threading.Event
) -> Generator[None]:
    """Kill a process that is at work for longer than some seconds, and set the event first."""

    def kill() -> None:
        too_late.set()
        process.kill()

    clock = threading.Timer(seconds, kill)
    clock.start()
    try:
        yield
    finally:
        clock.cancel()
        clock.join()  # from here on the event stays as it is


def _start() -> subprocess.Popen[bytes]:
    program = (
        f"import sys; sys.path[:] = {sys.path!r}; "
        f"from {__name__} import answer_requests; answer_requests()"
    )
    return subprocess.Popen(  # noqa: S603 - runs this very Python
        [sys.executable, "-c", program],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, **ONE_THREAD},
        start_new_session=True,  # Ctrl-C is for the process that writes; it stops the others
    )
