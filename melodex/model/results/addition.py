"""Addition: what came of adding files to a catalogue."""

from dataclasses import dataclass

from melodex.model.reading import Failure


@dataclass(frozen=True, slots=True)
class AddProgress:
    """How far an addition has come; sizes are of the files themselves."""

    file: str  # the file just dealt with
    files_done: int
    files_total: int
    bytes_done: int
    bytes_total: int


@dataclass(frozen=True, slots=True)
class Remark:
    """Something a reader noticed about a song that it could read all the same."""

    file: str
    song: str  # the song's id
    text: str  # a sentence


@dataclass(frozen=True, slots=True)
class AddReport:
    """What came of adding files: numbers of songs, and what could not be read."""

    added: int = 0
    updated: int = 0
    unchanged: int = 0  # also songs kept because their new reading failed
    removed: int = 0  # songs that are no longer in a file read anew
    skipped: int = 0  # files in folders whose suffix is none that is read
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
