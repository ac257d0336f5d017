"""Build a catalogue: read files that are new or changed, and write each in one transaction."""

import contextlib
from collections.abc import Callable, Sequence
from typing import NamedTuple

from melodex.index.connection import damage_explained
from melodex.index.intake.file_records import FileReader, digest_of, identity_of, size_of
from melodex.index.intake.filing import file_record, known_report
from melodex.index.intake.reading_processes import records_of
from melodex.index.store import Catalogue
from melodex.model.results.addition import AddProgress, AddReport
from melodex.parsing.corpus_walk import MusicFile
from melodex.parsing.formats import read_file


class _Job(NamedTuple):
    """A file to read."""

    file: MusicFile
    digest: bytes | None
    size: int  # bytes


def add_files(
    catalogue: Catalogue,
    files: Sequence[MusicFile],
    *,
    read: FileReader = read_file,
    progress: Callable[[AddProgress], None] = lambda _: None,
) -> AddReport:
    """Bring a catalogue up to date with files; files that it holds unchanged are not read.

    Each file is written whole or not at all, in the order given, so whatever stops the addition
    (an error, Ctrl-C, a power cut) leaves a sound catalogue with the files so far, and adding the
    same files again goes on from there. Large amounts are read in parallel, and each file within
    the limits of `reading_limits`.

    Parameters
    ----------
    catalogue : Catalogue
        Open for writing; others may read and add at the same time.
    files : sequence of MusicFile
        What to add; a file given twice is added once.
    read : FileReader
        How a file is read; a function that other processes can import.
    progress : callable
        Called after each file that had to be read.

    Returns
    -------
    AddReport
        Numbers of songs, what could not be read, and what the readers remarked. Failures of files
        that are unchanged since are listed again.

    Raises
    ------
    CatalogueError
        If the catalogue cannot be written.
    """
    report, jobs = _sort_out(catalogue, files)
    bytes_total = sum(job.size for job in jobs)
    bytes_done = 0
    with contextlib.closing(records_of([job.file for job in jobs], read)) as records:
        for files_done, (job, record) in enumerate(zip(jobs, records, strict=True), start=1):
            with damage_explained(catalogue.path), catalogue.writing() as connection:
                report += file_record(connection, job.file, job.digest, record)
            bytes_done += job.size
            progress(AddProgress(job.file.shown_as, files_done, len(jobs), bytes_done, bytes_total))
    return report


def _sort_out(catalogue: Catalogue, files: Sequence[MusicFile]) -> tuple[AddReport, list[_Job]]:
    """Report the files that are in already, and list those to read."""
    report = AddReport()
    jobs: list[_Job] = []
    with catalogue.reading() as connection:
        for file in {identity_of(file): file for file in files}.values():
            digest = digest_of(file)
            with damage_explained(catalogue.path):
                known = known_report(connection, file, digest)
            if known:
                report += known
            else:
                jobs.append(_Job(file, digest, size_of(file)))
    return report, jobs
