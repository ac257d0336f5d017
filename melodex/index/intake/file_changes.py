"""Find which files differ from what was read of them."""

from pathlib import Path
from typing import NamedTuple

from melodex.index.intake.file_records import digest_of
from melodex.index.store import Catalogue
from melodex.parsing.corpus_walk import MusicFile

# A bundled file is part of a package, and a file without a digest is read again in any case.
_FILES_ON_DISK = """
    SELECT identity, shown_as, digest, min(collection)
    FROM file JOIN song ON song.file = file.id
    WHERE digest IS NOT NULL
    GROUP BY file.id ORDER BY shown_as
"""


class FileChanges(NamedTuple):
    """Files, as the user named them, that are not as they were read."""

    changed: tuple[str, ...]
    missing: tuple[str, ...]


def file_changes(catalogue: Catalogue) -> FileChanges:
    """Compare the files of a catalogue's songs with what was read of them."""
    with catalogue.reading() as connection:
        rows = connection.execute(_FILES_ON_DISK).fetchall()
    changed: list[str] = []
    missing: list[str] = []
    for identity, shown_as, digest, collection in rows:
        path = Path(identity)
        if not path.is_absolute():
            continue
        if not path.exists():
            missing.append(shown_as)
        elif digest_of(MusicFile(path, shown_as, collection)) != digest:
            changed.append(shown_as)
    return FileChanges(tuple(changed), tuple(missing))
