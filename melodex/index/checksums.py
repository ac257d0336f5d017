"""Checksums of stored columns: without them a flipped bit would silently change a note."""

import hashlib
from collections.abc import Iterable

_BYTES = 16


def checksum(columns: Iterable[bytes | str]) -> bytes:
    """Return 16 bytes that change whenever a column does."""
    digest = hashlib.blake2b(digest_size=_BYTES)
    for column in columns:
        part = column.encode() if isinstance(column, str) else column
        digest.update(len(part).to_bytes(8, "little"))
        digest.update(part)
    return digest.digest()


def verify(columns: Iterable[bytes | str], stored: bytes) -> None:
    """Raise a ValueError if columns do not match their stored checksum."""
    if checksum(columns) != stored:
        raise ValueError("the checksum is wrong")
