"""Addition: the result of adding files to a catalogue."""

from dataclasses import dataclass

from melodex.model.reading import Failure


@dataclass(frozen=True, slots=True)
class AddProgress:
    """Progress of an addition; sizes are those of the files."""

    file: str  # the file just processed
    files_done: int
    files_total: int
    bytes_done: int
    bytes_total: int


@dataclass(frozen=True, slots=True)
class Remark:
    """A reader's remark about a song."""

    file: str
    song: str  # the song's id
    title: str
    text: str  # a sentence


@dataclass(frozen=True, slots=True)
class AddReport:
    """The result of adding files: numbers of songs, failures and remarks."""

    added: int = 0
    updated: int = 0
    unchanged: int = 0  # includes songs kept because their new reading failed
    removed: int = 0  # songs no longer in a file that was read again
    skipped: int = 0  # files in folders, with a suffix that is not supported
    failed: tuple[Failure, ...] = ()
    remarks: tuple[Remark, ...] = ()  # on songs added or updated

    def __add__(self, other: "AddReport") -> "AddReport":
        return AddReport(
            added=self.added + other.added,
            updated=self.updated + other.updated,
            unchanged=self.unchanged + other.unchanged,
            removed=self.removed + other.removed,
            skipped=self.skipped + other.skipped,
            failed=self.failed + other.failed,
            remarks=self.remarks + other.remarks,
        )
